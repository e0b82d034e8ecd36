import { describe, expect, it } from "vitest";
import { coarserLegs } from "../../../src/analysis/coarser-legs";

const cell = (l1W: number, l2W: number, heldS: number, onInverterS = 0) => ({ l1W, l2W, heldS, onInverterS });

describe("cells taken together", () => {
  it("gives none for none, and the same for one at a time", () => {
    expect(coarserLegs({ cellW: 50, cells: [] }, 4)).toEqual({ cellW: 200, cells: [] });
    const cells = [cell(0, 50, 10, 5)];
    expect(coarserLegs({ cellW: 50, cells }, 1)).toEqual({ cellW: 50, cells });
  });

  it("adds up what lies in a coarser cell, below nothing too, and changes nothing of what it is given", () => {
    const cells = [cell(-50, 0, 1), cell(0, 0, 10, 10), cell(50, 50, 20, 5), cell(100, 50, 40)];
    const before = structuredClone(cells);
    expect(coarserLegs({ cellW: 50, cells }, 2)).toEqual({
      cellW: 100,
      cells: [cell(-100, 0, 1), cell(0, 0, 30, 15), cell(100, 0, 40)],
    });
    expect(cells).toEqual(before);
  });

  it("refuses what is no whole number of cells", () => {
    for (const times of [0, -1, 1.5, Number.NaN])
      expect(() => coarserLegs({ cellW: 50, cells: [] }, times)).toThrow(RangeError);
  });
});
