import { describe, expect, it } from "vitest";
import { cableDrop } from "../../../src/analysis/cable-drop";

describe("drop of a DC cable", () => {
  it("is nothing without a current or a length", () => {
    expect(cableDrop(0, 10, 0.1)).toEqual({ dropV: 0, heatW: 0 });
    expect(cableDrop(100, 0, 0.1)).toEqual({ dropV: 0, heatW: 0 });
  });

  it("counts both conductors", () => {
    expect(cableDrop(100, 5, 0.1)).toEqual({ dropV: 0.1, heatW: 10 });
  });
});
