import { describe, expect, it } from "vitest";
import { periodFigures } from "../../../src/analysis/period-figures";
import type { NearLimitInterval } from "../../../src/analysis/results";
import { review, START_MS, seriesOf, steady } from "./samples";

/** Near-limit intervals of a log whose total and legs are all near their limits, with one of L1 alone later. */
function nearLimit(): NearLimitInterval[] {
  return review(
    seriesOf([
      ...steady(12, 10, { loadL1W: 3800, loadL2W: 3800, source: "inverter" }),
      ...steady(12, 10, { loadL1W: 500, loadL2W: 500, source: "inverter" }, 120),
      ...steady(12, 10, { loadL1W: 3900, loadL2W: 500, source: "inverter" }, 240),
      ...steady(12, 10, { loadL1W: 500, loadL2W: 500, source: "inverter" }, 360),
    ]),
  ).nearLimit;
}

describe("the longest run held of a period (D4)", () => {
  it("is of equally long ones the earliest, and of those at one time the total's, in whatever order they come", () => {
    const intervals = nearLimit();
    expect(intervals.map((one) => one.longestOnInverterS)).toEqual([120, 120, 120, 120]);
    for (const list of [intervals, intervals.toReversed()]) {
      expect(periodFigures({ days: [], nearLimit: list, imbalance: [] }).longestRunHeld).toEqual({
        durationS: 120,
        fromMs: START_MS,
        quantity: "total",
        peakLoading: expect.closeTo(0.95, 6),
      });
    }
  });

  it("is none where nothing came near a limit on inverter", () => {
    expect(periodFigures({ days: [], nearLimit: [], imbalance: [] }).longestRunHeld).toBeNull();
  });
});
