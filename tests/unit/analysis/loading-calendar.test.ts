import { describe, expect, it } from "vitest";
import { review, type Sample, START_MS, seriesOf, steady } from "./samples";

const HOUR_MS = 3_600_000;
const hours = (samples: readonly Sample[]) => review(seriesOf(samples)).hours;

describe("greatest loading by hour", () => {
  it("counts a sample in every hour it stands in, at its own time, with what it is held there", () => {
    const found = hours([
      { s: 1800, loadL1W: 400, loadL2W: 0 },
      { s: 5400, loadL1W: 2000, loadL2W: 0 },
      { s: 9000, loadL1W: 800, loadL2W: 0 },
      { s: 12_600, loadL1W: 800, loadL2W: 0 },
    ]);
    expect(
      found.map((one) => [(one.fromMs - START_MS) / HOUR_MS, one.heldS, one.peakLoading, one.peakAtMs]),
    ).toEqual([
      [0, 1800, 0.1, START_MS + 1_800_000],
      [1, 3600, 0.5, START_MS + 5_400_000],
      [2, 3600, 0.5, START_MS + 5_400_000],
      [3, 3600, 0.2, START_MS + 9_000_000],
      [4, 1800, 0.2, START_MS + 12_600_000],
    ]);
  });

  it("names the earliest of equal loadings, and the total before a leg", () => {
    const [hour] = hours(steady(6, 600, { loadL1W: 2000, loadL2W: 2000 }));
    expect(hour).toMatchObject({ peakQuantity: "total", peakAtMs: START_MS, heldS: 3600 });
    const [second] = hours(steady(6, 600, { loadL1W: 1000, loadL2W: 2000 }));
    expect(second).toMatchObject({ peakQuantity: "L2", peakLoading: 0.5 });
  });

  it("lists no hour that a gap covers, and no peak where no load is known", () => {
    const found = hours([
      ...steady(6, 600, { loadL1W: 2000, loadL2W: 0 }),
      ...steady(6, 600, { loadL1W: Number.NaN, loadL2W: Number.NaN, batterySocPct: 50 }, 10_800),
    ]);
    expect(found.map((one) => [(one.fromMs - START_MS) / HOUR_MS, one.peakLoading])).toEqual([
      [0, 0.5],
      [3, null],
    ]);
  });
});
