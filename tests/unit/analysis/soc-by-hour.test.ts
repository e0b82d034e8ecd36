import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";
import {
  addSocByHour,
  createSocByHourSums,
  mergeSocByHour,
  socByHourOf,
} from "../../../src/analysis/soc-by-hour";
import { frameOf } from "./frame-of";
import { type Sample, steady } from "./samples";

const clock = createLocalClock("America/Denver");

function sumsOf(samples: readonly Sample[]) {
  const frame = frameOf(samples);
  const sums = createSocByHourSums();
  addSocByHour(frame, sums, clock, 0, frame.sourced);
  return sums;
}

describe("state of charge by hour", () => {
  it("is null where the log has none", () => {
    expect(socByHourOf(createSocByHourSums())).toBeNull();
    expect(socByHourOf(sumsOf(steady(5, 60, { loadW: 1 })))).toBeNull();
    expect(socByHourOf(sumsOf(steady(5, 60, { batterySocPct: Number.NaN })))).toBeNull();
  });

  it("has the mean by hold of a single day, with the least and greatest of its samples", () => {
    const samples: Sample[] = [
      { s: 0, batterySocPct: 40 },
      { s: 900, batterySocPct: Number.NaN },
      { s: 1800, batterySocPct: 60 },
      { s: 2700, batterySocPct: 80 },
      { s: 3600, batterySocPct: 99 },
    ];
    expect(socByHourOf(sumsOf(samples))).toEqual([
      { hour: 0, days: 1, leastPct: 40, greatestPct: 80, q1Pct: 60, medianPct: 60, q3Pct: 60 },
      { hour: 1, days: 1, leastPct: 99, greatestPct: 99, q1Pct: 99, medianPct: 99, q3Pct: 99 },
    ]);
  });

  it("has quartiles of the days’ means", () => {
    const sums = createSocByHourSums();
    for (const soc of [90, 50, 70]) mergeSocByHour(sums, sumsOf(steady(6, 600, { batterySocPct: soc })));
    expect(socByHourOf(sums)).toEqual([
      { hour: 0, days: 3, leastPct: 50, greatestPct: 90, q1Pct: 60, medianPct: 70, q3Pct: 80 },
    ]);
  });

  it("counts an hour that comes twice in one, and leaves out one that doesn't come", () => {
    const hoursOf = (startMs: number, hours: number) => {
      const frame = frameOf(steady(hours * 6, 600, { batterySocPct: 50 }));
      for (let row = 0; row < frame.count; row++) frame.timesMs[row] = startMs + row * 600_000;
      const sums = createSocByHourSums();
      addSocByHour(frame, sums, clock, 0, frame.sourced);
      return sums.days[0];
    };
    const autumn = hoursOf(Date.UTC(2026, 10, 1, 6), 25);
    expect(autumn[4]).toBe(7200);
    // From 02:00 to 03:00 there was nothing on 8 March.
    const spring = hoursOf(Date.UTC(2026, 2, 8, 7), 23);
    expect([spring[4], spring[8], spring[12]]).toEqual([3600, 0, 3600]);
  });
});
