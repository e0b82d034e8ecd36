import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createNumberReader } from "../../../src/ingest/number-reader";

const point = createNumberReader(".", ["--", "NaN"]);
const comma = createNumberReader(",", ["--"]);

describe("createNumberReader", () => {
  it.each([
    ["0", 0],
    ["-12.50", -12.5],
    ["+3", 3],
    [".5", 0.5],
    ["5.", 5],
    [" 7 ", 7],
    ["1e3", 1000],
    ["-2.5E-2", -0.025],
    ["1,234.5", 1234.5],
    ["1,234,567", 1_234_567],
    ["12'345.6", 12_345.6],
    ["\u22125", -5],
    ["0.1234567890123456789", 0.12345678901234568],
    ["00012", 12],
  ])("reads %s with a decimal point", (text, value) => {
    expect(point.read(text)).toBe(value);
    expect(point.bad()).toBe(false);
  });

  it.each([
    ["0,142", 0.142],
    ["-6,6", -6.6],
    ["1.234,5", 1234.5],
    ["1 234,5", 1234.5],
    ["1\u00a0234,5", 1234.5],
    ["51", 51],
  ])("reads %s with a decimal comma", (text, value) => {
    expect(comma.read(text)).toBe(value);
  });

  it.each(["", "  ", "--", "nan", "NaN"])("takes %j as missing, not as bad", (text) => {
    expect(point.read(text)).toBeNaN();
    expect(point.bad()).toBe(false);
  });

  it.each(["abc", "1.2.3", "-", "1,2", "12 X", "W", "12 W W", "0x10", "Infinity", "1e999", "--5", "1-2"])(
    "finds %j bad",
    (text) => {
      expect(point.read(text)).toBeNaN();
      expect(point.bad()).toBe(true);
    },
  );

  it.each([
    ["1.2 kW", "W", 1200],
    ["1200W", "kW", 1.2],
    ["230 V", "V", 230],
    ["54 %", "%", 54],
    ["12300 mA", "A", 12.3],
    ["77 °F", "C", 25],
    ["-1,234.5 kwh", "Wh", -1_234_500],
    ["53.1 VDC", "V", 53.1],
    ["1.1\u00a0kW", "W", 1100],
    ["50.01Hz", "Hz", 50.01],
    ["7", "kW", 7],
  ] as const)("reads %s in %s", (text, unit, value) => {
    expect(point.read(text, unit)).toBe(value);
    expect(point.bad()).toBe(false);
  });

  it("finds a unit of another quantity bad, and tells which one stood there", () => {
    expect(point.read("12.3 A", "W")).toBeNaN();
    expect(point.bad()).toBe(true);
    expect(comma.read("12,3 A")).toBe(12.3);
    expect(comma.unit()).toBe("A");
    comma.read("12,3");
    expect(comma.unit()).toBeNull();
  });

  it.each([
    ["1\u2009234,5", 1234.5],
    ["1\u202f234,5", 1234.5],
    ["12.345.678,9", 12_345_678.9],
    ["1'234'567,5", 1_234_567.5],
    ["1’234,5", 1234.5],
  ])("reads the thousands of %s", (text, value) => {
    expect(comma.read(text)).toBe(value);
  });

  it.each([" ", "9", "x", "1 ", "°"])("is done at once with a cell of 100,000 characters %j", (filler) => {
    const text = `1${filler.repeat(100_000)}!`;
    const before = process.cpuUsage();
    expect(point.read(text, "W")).toBeNaN();
    expect(point.bad()).toBe(true);
    expect(process.cpuUsage(before).user / 1000).toBeLessThan(200);
  });

  it("reads every plain decimal to the double that Number gives", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -999_999_999, max: 999_999_999 }),
        fc.integer({ min: 0, max: 9 }),
        (n, places) => {
          const text = (n / 10 ** places).toFixed(places);
          expect(point.read(text)).toBe(Number(text));
        },
      ),
      { numRuns: 2000 },
    );
  });
});
