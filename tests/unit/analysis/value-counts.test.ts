import { describe, expect, it } from "vitest";
import { quantile } from "../../../src/analysis/quantile";
import {
  addValueCounts,
  countValue,
  createValueCounts,
  mergeValueCounts,
  quantilesOf,
  type ValueCounts,
} from "../../../src/analysis/value-counts";

function countsOf(values: readonly number[]): ValueCounts {
  const counts = createValueCounts(0.01);
  addValueCounts(counts, Float32Array.from(values), 0, values.length);
  return counts;
}

/** Voltages as a meter of that many distinct values might give them. */
const voltages = (distinct: number, times = 1) =>
  Array.from({ length: distinct * times }, (_, i) => 110 + (((i * 7919) % distinct) / distinct) * 20);

describe("counts of values", () => {
  it("give nothing where there is nothing or only missing values", () => {
    expect(quantilesOf(countsOf([]), [0.5])).toEqual([Number.NaN]);
    expect(quantilesOf(countsOf([Number.NaN]), [0, 1])).toEqual([Number.NaN, Number.NaN]);
  });

  it("give one value, or equal ones, back exactly", () => {
    expect(quantilesOf(countsOf([0]), [0, 0.5, 1])).toEqual([0, 0, 0]);
    expect(quantilesOf(countsOf([120.5, 120.5, 120.5]), [0.01, 0.99])).toEqual([120.5, 120.5]);
  });

  it("give the quantiles that sorting gives, type 7", () => {
    const values = [...voltages(500, 3), 119, 119, 119, 0, Number.NaN];
    const sorted = Float32Array.from(values.filter((value) => !Number.isNaN(value))).sort();
    const shares = [0, 0.01, 0.25, 0.5, 0.99, 1];
    expect(quantilesOf(countsOf(values), shares)).toEqual(shares.map((share) => quantile(sorted, share)));
  });

  it("stay exact up to 4,096 distinct values and are rounded to the hundredth from the next on", () => {
    const just = voltages(4096);
    const exact = countsOf(just);
    expect(exact).toMatchObject({ resolution: 0, distinct: 4096, total: 4096 });
    expect(quantilesOf(exact, [0.01])).toEqual([quantile(Float32Array.from(just).sort(), 0.01)]);
    const over = countsOf([...just, 131.123]);
    expect(over).toMatchObject({ resolution: 0.01, total: 4097 });
    expect(over.distinct).toBeLessThan(2200);
    expect(quantilesOf(over, [1])).toEqual([131.12]);
    const [low] = quantilesOf(over, [0.01]);
    expect(Math.abs(low - quantile(Float32Array.from([...just, 131.123]).sort(), 0.01))).toBeLessThan(0.01);
  });

  it("hold values far apart once rounded, in as many places as they need", () => {
    const counts = countsOf(Array.from({ length: 20_000 }, (_, i) => i / 50 + 0.001));
    expect(counts).toMatchObject({ resolution: 0.01, total: 20_000, distinct: 20_000 });
    expect(quantilesOf(counts, [0.5])[0]).toBeCloseTo(199.99, 2);
  });

  it("add up to the same quantiles as if all had come at once", () => {
    const all = voltages(300, 2);
    const into = countsOf(all.slice(0, 250));
    mergeValueCounts(into, countsOf(all.slice(250)));
    expect(into.total).toBe(600);
    expect(quantilesOf(into, [0.01, 0.5, 0.99])).toEqual(quantilesOf(countsOf(all), [0.01, 0.5, 0.99]));
  });

  it("are rounded where either part is, or where together they are too many", () => {
    const rounded = countsOf(voltages(5000));
    const exact = countsOf([120.123]);
    mergeValueCounts(exact, rounded);
    expect(exact).toMatchObject({ resolution: 0.01, total: 5001 });
    const low = countsOf(voltages(3000));
    mergeValueCounts(low, countsOf(voltages(3001).map((volts) => volts + 100)));
    expect(low).toMatchObject({ resolution: 0.01, total: 6001 });
    expect(low.counts.reduce((sum, count) => sum + count, 0)).toBe(6001);
  });

  it("count one value many times over", () => {
    const counts = createValueCounts(0.01);
    countValue(counts, 118, 99);
    countValue(counts, 122, 1);
    expect(quantilesOf(counts, [0.5, 1])).toEqual([118, 122]);
  });

  it("refuse a share outside 0 to 1", () => {
    expect(() => quantilesOf(countsOf([1]), [-0.1])).toThrow(RangeError);
  });
});
