import { describe, expect, it } from "vitest";
import { cantShowLines } from "../../../src/report/cant-show-lines";
import { clockOf } from "../../../src/report/format";

const clock = clockOf("America/Denver");
const HOUR_MS = 3_600_000;
const gaps = (count: number) =>
  Array.from({ length: count }, (_, i) => ({
    fromMs: Date.UTC(2026, 4, 14, 6) + 2 * i * HOUR_MS,
    toMs: Date.UTC(2026, 4, 14, 6) + (2 * i + 1) * HOUR_MS,
  }));

describe("what a log can't show", () => {
  it("is nothing that can be said without samples", () => {
    expect(cantShowLines({ nominalS: null, gaps: [] }, clock)).toEqual([]);
  });

  it("is what lies between two samples, and its gaps", () => {
    expect(cantShowLines({ nominalS: 60, gaps: gaps(1) }, clock)).toEqual([
      "The log has a sample every 1 min: what went up and down between two samples, a motor start above all, it can't show.",
      "Gap: 14 May, 00:00 to 14 May, 01:00 (1 h).",
    ]);
  });

  it("lists a dozen gaps and counts the rest", () => {
    const lines = cantShowLines({ nominalS: null, gaps: gaps(15) }, clock);
    expect(lines).toHaveLength(13);
    expect(lines[12]).toBe("And 3 gaps more.");
  });
});
