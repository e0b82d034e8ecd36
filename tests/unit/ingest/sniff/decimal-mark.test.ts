import { describe, expect, it } from "vitest";
import { sniffDecimalMark } from "../../../../src/ingest/sniff/decimal-mark";

const of = (cells: string[], delimiter = ";") =>
  sniffDecimalMark(
    cells.map((c) => [c]),
    delimiter,
  );

describe("sniffDecimalMark", () => {
  it.each([
    ["decimals of any length", ["0.5", "12.25"], "."],
    ["a comma", ["0,5", "12,25"], ","],
    ["thousands and decimals", ["1,234.5"], "."],
    ["thousands by point", ["1.234,5"], ","],
    ["thousands by space", ["1 234,5", "999,0"], ","],
    ["thousands by apostrophe", ["1'234.5"], "."],
    ["a mark that comes twice", ["1,234,567"], "."],
    ["three decimals below one", ["0,142", "1,234"], ","],
    ["three digits beside small whole numbers: thousands", ["1.234", "12", "999"], ","],
    ["three digits beside large whole numbers: decimals", ["1.234", "12345"], "."],
    ["a unit behind", ["1,2 kW", "230 V"], ","],
    ["dates beside numbers", ["01.05.2026", "1,5"], ","],
    ["whole numbers", ["12", "1500"], "."],
  ])("finds %s", (_, cells, mark) => {
    expect(of(cells)).toMatchObject({ mark, open: false });
  });

  it("leaves open what could be about one or over a thousand", () => {
    expect(of(["1.204", "12.350"])).toMatchObject({ open: true });
    expect(of(["1,204", "12,350"], "\t")).toMatchObject({ open: true });
    expect(of(["0.5", "0,5"])).toMatchObject({ open: true });
  });

  it("takes a point between commas that divide fields for a decimal", () => {
    expect(of(["1.204", "12.350"], ",")).toMatchObject({ mark: ".", open: false });
  });
});
