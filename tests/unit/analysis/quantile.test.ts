import { describe, expect, it } from "vitest";
import { quantile } from "../../../src/analysis/quantile";

describe("quantile", () => {
  it("asks for at least one value and a share from 0 to 1", () => {
    expect(() => quantile([], 0.5)).toThrow(RangeError);
    expect(() => quantile([1], 1.1)).toThrow(RangeError);
  });

  it("gives the only value whatever the share", () => {
    expect(quantile([7], 0.3)).toBe(7);
  });

  it("interpolates as type 7", () => {
    // numpy.quantile([1, 2, 3, 4, 10], [0.25, 0.5, 0.75, 0.9]) gives 2, 3, 4, 7.6 (from memory of its default method).
    const values = [1, 2, 3, 4, 10];
    expect(quantile(values, 0.25)).toBe(2);
    expect(quantile(values, 0.5)).toBe(3);
    expect(quantile(values, 0.75)).toBe(4);
    expect(quantile(values, 0.9)).toBeCloseTo(7.6, 12);
  });
});
