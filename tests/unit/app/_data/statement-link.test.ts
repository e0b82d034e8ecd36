import { describe, expect, it } from "vitest";
import { adviceLink, statementLink } from "../../../../app/_data/statement-link";
import { clockOf } from "../../../../src/report/format";

const clock = clockOf("America/Denver");
const MAY = { slug: "pottery", month: "2026-05" };
const link = (code: string, atMs: number | null = null) => statementLink({ code, atMs }, MAY, clock)?.href;

describe("where the figure of a sentence comes from", () => {
  it("is the list of transfers, narrowed to those it counts", () => {
    expect(link("transfers")).toBe("/sites/pottery/transfers?month=2026-05");
    expect(link("cause-low-battery")).toBe("/sites/pottery/transfers?month=2026-05&cause=low-battery");
    expect(link("fuller-leg-L1")).toBe("/sites/pottery/transfers?month=2026-05&leg=L1");
    expect(link("avoidable")).toBe("/sites/pottery/transfers?month=2026-05&tag=avoidable");
    expect(link("repeats")).toBe("/sites/pottery/transfers?month=2026-05&tag=repeat");
  });

  it("is the moment on the day's sheet, by the site's clock", () => {
    // 15 May, 01:48 UTC is the evening before in Denver.
    expect(link("peak-loading", Date.UTC(2026, 4, 15, 1, 48))).toBe(
      "/sites/pottery/2026-05/14?at=19%3A48%3A00",
    );
    expect(link("demand", Date.UTC(2026, 4, 2, 6, 0, 7))).toBe("/sites/pottery/2026-05/02?at=00%3A00%3A07");
  });

  it("is the sheet of what it speaks of", () => {
    expect(link("imbalance")).toBe("/sites/pottery/legs?month=2026-05");
    expect(link("coverage")).toBe("/sites/pottery/quality?month=2026-05");
    expect(link("energy")).toBe("#energy");
    expect(link("near-limit-total")).toBe("#near-limit");
  });

  it("is the list of transfers that speak for an advice", () => {
    expect(adviceLink("stagger", MAY)?.href).toBe(
      "/sites/pottery/transfers?month=2026-05&tag=stacked-starts",
    );
    expect(adviceLink("move-from-L2", MAY)?.href).toBe("/sites/pottery/legs?month=2026-05");
    expect(adviceLink("soften", MAY)).toBeNull();
  });

  it("is nowhere for what isn't in the log", () => {
    expect(link("not-in-log-energy")).toBeUndefined();
    expect(link("existing-load")).toBeUndefined();
  });
});
