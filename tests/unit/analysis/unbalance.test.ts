import { describe, expect, it } from "vitest";
import { unbalance } from "../../../src/analysis/unbalance";

describe("unbalance", () => {
  it("isn't defined for nothing, nothing but zeros, a missing value or a mean below zero", () => {
    for (const values of [[], [0, 0], [1, Number.NaN], [-5, 1]]) expect(unbalance(values)).toBeNaN();
  });

  it("is 0 for one value or equal ones, and 1 for two of which one is 0", () => {
    expect(unbalance([7])).toBe(0);
    expect(unbalance([120, 120, 120])).toBe(0);
    expect(unbalance([100, 0])).toBe(1);
  });

  it("takes the greatest deviation, above or below", () => {
    expect(unbalance([3, 3, 0])).toBe(1);
    expect(unbalance([1, 1, 4])).toBe(1);
  });
});
