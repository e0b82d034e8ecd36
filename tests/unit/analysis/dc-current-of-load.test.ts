import { describe, expect, it } from "vitest";
import { dcCurrentOfLoad } from "../../../src/analysis/dc-current-of-load";

describe("battery current of a load (D13)", () => {
  it("is the idle power alone without a load", () => {
    expect(dcCurrentOfLoad(0, { idleW: 60, efficiency: 0.94 }, 48)).toBe(1.25);
  });

  it("wants volts and an efficiency above 0", () => {
    expect(() => dcCurrentOfLoad(1, { idleW: 0, efficiency: 1 }, 0)).toThrow(
      "dcCurrentOfLoad requires volts above 0, got 0",
    );
    expect(() => dcCurrentOfLoad(1, { idleW: 0, efficiency: Number.NaN }, 48)).toThrow(
      "dcCurrentOfLoad requires an efficiency above 0, got NaN",
    );
  });
});
