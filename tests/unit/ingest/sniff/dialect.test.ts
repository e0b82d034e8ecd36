import { describe, expect, it } from "vitest";
import { sniffDialect } from "../../../../src/ingest/sniff/dialect";

describe("sniffDialect", () => {
  it.each([
    ["comma and point", "t,a,b\n2026,1.5,2.5\n2027,1.75,3.5\n", ",", "."],
    ["semicolon and comma", "t;a;b\n2026;1,5;2,5\n2027;1,75;3,5\n", ";", ","],
    ["semicolon and point", "t;a;b\n2026;1.5;2.5\n", ";", "."],
    ["tab", "t\ta\tb\n2026\t1.5\t2.5\n", "\t", "."],
    ["bar", "t|a|b\n2026|1.5|2.5\n", "|", "."],
    ["quoted decimal commas", 't,a,b\n2026,"1,5","2,25"\n', ",", ","],
    ["thousands by comma in quotes", 't,a,b\n2026,"1,234.5","2,000.25"\n', ",", "."],
    ["three decimals with a comma", "t;a\n1;0,142\n2;1,234\n", ";", ","],
    ["thousands by point", "t;a\n1;1.234,5\n2;12.000,0\n", ";", ","],
    ["dates with commas in other delimiters", "t;a;b\nMay 5, 2026;1.5;2\nMay 6, 2026;1.7;2\n", ";", "."],
  ])("finds %s", (_, text, delimiter, decimalMark) => {
    expect(sniffDialect(text)).toMatchObject({ delimiter, decimalMark });
  });

  it("knows files that have nothing but CR", () => {
    expect(sniffDialect("t,a\r1,2\r3,4\r")).toMatchObject({ newline: "\r", columns: 2 });
  });

  it("finds none in prose or in one column", () => {
    expect(sniffDialect("one\ntwo\n")).toBeNull();
    expect(sniffDialect("")).toBeNull();
  });
});
