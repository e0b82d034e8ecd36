import { describe, expect, it } from "vitest";
import { rowNumbers } from "../../../../src/ingest/sniff/row-numbers";

const rows = Array.from({ length: 40 }, (_, i) => [String(i + 7), String(300 + i * 3), String(i)]);
const lines = rows.map((_, i) => i + 2);

describe("rowNumbers", () => {
  it("finds the column that numbers the rows, also where rows were left out", () => {
    expect(rowNumbers(rows, lines, ["#", "Load", "x (W)"])).toEqual([0]);
    expect(rowNumbers([...rows.slice(0, 20), ...rows.slice(21)], lines, ["#", "Load", "x (W)"])).toEqual([0]);
  });

  it("finds none in figures, under a name with a unit, or in a few rows", () => {
    expect(rowNumbers(rows, lines, ["n (W)", "Load", "x (W)"])).toEqual([]);
    expect(rowNumbers(rows.slice(0, 4), lines, ["#", "Load", "x (W)"])).toEqual([]);
    expect(rowNumbers([], [], ["#"])).toEqual([]);
  });
});
