import { describe, expect, it } from "vitest";
import { nearestName } from "../../../src/site/nearest-name";

describe("nearestName", () => {
  it("finds a name with letters missing, doubled, changed or swapped", () => {
    const known = ["loadL1W", "loadL2W", "batteryA", "gridW"];
    expect(nearestName("loadL1", known)).toBe("loadL1W");
    expect(nearestName("bateryA", known)).toBe("batteryA");
    expect(nearestName("girdW", known)).toBe("gridW");
    expect(nearestName("GRIDW", known)).toBe("gridW");
  });

  it("finds nothing where nothing is near, or nothing is known", () => {
    expect(nearestName("frequency", ["gridW"])).toBeNull();
    expect(nearestName("x", [])).toBeNull();
  });
});
