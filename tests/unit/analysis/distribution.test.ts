import { describe, expect, it } from "vitest";
import {
  addToDistribution,
  createDistribution,
  type Distribution,
  mergeDistribution,
  shareAbove,
  valueExceeded,
  valuesExceeded,
} from "../../../src/analysis/distribution";

function distributionOf(
  values: readonly number[],
  holdS: readonly number[] = values.map(() => 1),
): Distribution {
  const distribution = createDistribution(10);
  addToDistribution(distribution, Float64Array.from(values), Float64Array.from(holdS), 0, values.length);
  return distribution;
}

describe("a distribution of held time", () => {
  it("gives nothing where there is nothing, or only missing values, or no held time", () => {
    for (const empty of [
      distributionOf([]),
      distributionOf([Number.NaN, Number.NaN]),
      distributionOf([5], [0]),
    ]) {
      expect(valueExceeded(empty, 0.5)).toBeNaN();
      expect(shareAbove(empty, 0)).toBeNaN();
    }
    expect(distributionOf([]).heldS).toHaveLength(0);
  });

  it("gives one value back exactly at every share", () => {
    const one = distributionOf([1234.5]);
    expect(valuesExceeded(one, [0, 0.5, 1])).toEqual([1234.5, 1234.5, 1234.5]);
    expect(shareAbove(one, 1229)).toBe(1);
    expect(shareAbove(one, 1234.5)).toBe(0);
  });

  it("gives equal values back exactly, however long each is held", () => {
    expect(valuesExceeded(distributionOf([70, 70, 70], [1, 0.25, 900]), [0, 0.3, 1])).toEqual([70, 70, 70]);
  });

  it("weighs values by the time they are held, not by their number", () => {
    const held = distributionOf([1000, 100, 100, 100], [300, 100, 100, 100]);
    expect(valueExceeded(held, 0.5)).toBe(1000);
    expect(valueExceeded(held, 0.5001)).toBe(100);
    expect(shareAbove(held, 100)).toBe(0.5);
    expect(shareAbove(held, 99)).toBe(1);
  });

  it("passes missing values over", () => {
    expect(distributionOf([Number.NaN, 50, Number.NaN])).toEqual({ ...distributionOf([50]) });
  });

  it("reads a value as the middle of its bin, the greatest and the least exactly", () => {
    const values = [5, 14.9, 15, 996];
    expect(valuesExceeded(distributionOf(values), [0, 0.25, 0.5, 0.75, 1])).toEqual([996, 996, 20, 10, 10]);
    expect(valueExceeded(distributionOf([7, 8]), 1)).toBe(8);
  });

  it("has room for a value at the very edge of what there was room for", () => {
    // 637 belongs to bin 64, the first one beyond the block that 5 makes room for.
    for (const values of [
      [5, 637],
      [637, 5],
    ]) {
      const distribution = distributionOf(values);
      expect(distribution.heldS.reduce((sum, one) => sum + one, 0)).toBe(2);
      expect(shareAbove(distribution, 630)).toBe(0.5);
    }
  });

  it("takes negative values and those far outside, the latter in the outermost bin", () => {
    const wide = distributionOf([-20, 0, 1e9]);
    expect(valueExceeded(wide, 1)).toBe(-20);
    expect(valueExceeded(wide, 0)).toBe(1e9);
    expect(wide.heldS.length).toBeLessThan(40_000);
    expect(wide.totalS).toBe(3);
  });

  it("keeps only the stretch of bins in use, the same whatever the order", () => {
    const up = distributionOf([200, 4000, 2500]);
    const down = distributionOf([2500, 4000, 200]);
    expect(up).toEqual(down);
    expect(up.heldS.length).toBeLessThanOrEqual((4000 - 200) / 10 + 2 * 64);
  });

  it("adds up to the same as if all had come at once", () => {
    const into = distributionOf([100, 300], [60, 30]);
    const more = distributionOf([5000, -40, 300], [10, 20, 5]);
    mergeDistribution(into, more);
    expect(into).toEqual(distributionOf([100, 300, 5000, -40, 300], [60, 30, 10, 20, 5]));
    // The bins of the one to be added begin above those of the other, or below.
    const low = distributionOf([100], [60]);
    mergeDistribution(low, distributionOf([5000], [10]));
    expect(low).toEqual(distributionOf([100, 5000], [60, 10]));
    const high = distributionOf([5000], [10]);
    mergeDistribution(high, distributionOf([100], [60]));
    expect(high).toEqual(distributionOf([100, 5000], [60, 10]));
    const untouched = distributionOf([7]);
    mergeDistribution(untouched, createDistribution(10));
    expect(untouched).toEqual(distributionOf([7]));
    const fresh = createDistribution(10);
    mergeDistribution(fresh, untouched);
    expect(fresh).toEqual(untouched);
    fresh.heldS[0]++;
    expect(untouched.heldS[0]).not.toBe(fresh.heldS[0]);
  });

  it("refuses bad calls", () => {
    expect(() => createDistribution(0)).toThrow(RangeError);
    expect(() => mergeDistribution(createDistribution(1), createDistribution(10))).toThrow(RangeError);
    expect(() => valueExceeded(distributionOf([1]), 1.01)).toThrow(RangeError);
    expect(() => valueExceeded(distributionOf([1]), Number.NaN)).toThrow(RangeError);
  });
});
