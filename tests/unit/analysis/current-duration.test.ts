import { describe, expect, it } from "vitest";
import { currentDuration } from "../../../src/analysis/current-duration";

describe("time by battery current", () => {
  it("has no step without a current, or at rest", () => {
    expect(currentDuration([], 10)).toEqual([]);
    expect(currentDuration([{ amps: 0, heldS: 60 }], 10)).toEqual([]);
  });

  it("adds up each step and what is beyond it", () => {
    const steps = currentDuration(
      [
        { amps: -12, heldS: 5 },
        { amps: -3, heldS: 7 },
        { amps: 0, heldS: 1000 },
        { amps: 9, heldS: 30 },
        { amps: 10, heldS: 60 },
        { amps: 25, heldS: 1 },
      ],
      10,
    );
    expect(steps).toEqual([
      { fromA: 0, toA: 10, dischargeS: 30, chargeS: 7, dischargeAtLeastS: 91, chargeAtLeastS: 12 },
      { fromA: 10, toA: 20, dischargeS: 60, chargeS: 5, dischargeAtLeastS: 61, chargeAtLeastS: 5 },
      { fromA: 20, toA: 30, dischargeS: 1, chargeS: 0, dischargeAtLeastS: 1, chargeAtLeastS: 0 },
    ]);
  });

  it("wants whole amperes", () => {
    expect(() => currentDuration([], 0.5)).toThrow("currentDuration requires a whole step above 0, got 0.5");
  });
});
