import { describe, expect, it } from "vitest";
import { sniffHeader } from "../../../../src/ingest/sniff/header";

const rowsOf = (text: string) => text.split("\n").map((line) => line.split(","));
const DATA = ["2026-05-01 00:00,500,52.1", "2026-05-01 00:01,501,52.2", "2026-05-01 00:02,502,52.1"].join(
  "\n",
);
const of = (above: string, known: string[] = [], data = DATA) => {
  const rows = rowsOf(above === "" ? data : `${above}\n${data}`);
  return sniffHeader(rows, rowsOf(data)[0].length, known);
};

describe("sniffHeader", () => {
  it.each([
    ["nothing", "", 0],
    ["a title", "Alder Creek Pottery\n", 1],
    ["blank lines", "\n\n", 2],
    ["key and value", "Site: Alder Creek\nSerial: 12-345\nTimezone: America/Denver\n", 3],
    ["fields of another number", "a,b,c,d,e,f,g\nSite,Alder Creek\n", 2],
    ["fields of the same number", "Site,Alder Creek,8000\nFrom,2026-05-01,to\n", 2],
    ["a title with the table's delimiters", "Log of Alder Creek,,\n,,\n", 2],
  ])("finds the header under %s", (_, above, row) => {
    expect(of(`${above}Time,Load (W),Battery (V)`)).toMatchObject({
      row,
      firstRow: row + 1,
      names: ["Time", "Load (W)", "Battery (V)"],
    });
  });

  it("finds a header over blank lines", () => {
    expect(of("Time,Load,Battery\n\n")).toMatchObject({ row: 0, firstRow: 3 });
  });

  it.each([
    [",W,V", ["Time", "Load (W)", "Battery (V)"]],
    ["[hh:mm],[W],[V]", ["Time", "Load (W)", "Battery (V)"]],
    ["-,kW,%", ["Time", "Load (kW)", "Battery (%)"]],
  ])("reads a row of units under the header: %s", (units, titles) => {
    expect(of(`Time,Load,Battery\n${units}`)).toMatchObject({ row: 0, unitRow: 1, firstRow: 2, titles });
  });

  it("takes names that are units for names where nothing stands above them", () => {
    expect(of("t,W,V")).toMatchObject({ row: 0, unitRow: -1, names: ["t", "W", "V"] });
  });

  it("reads groups over the names", () => {
    const data =
      "2026-05-01 00:00,500,300,52.1,10\n2026-05-01 00:01,501,301,52.2,11\n2026-05-01 00:02,501,301,52.2,12";
    expect(of(",Load,,Battery,\nTime,L1 (W),L2 (W),V,A", [], data)).toMatchObject({
      row: 1,
      groupRow: 0,
      names: ["Time", "L1 (W)", "L2 (W)", "V", "A"],
      titles: ["Time", "Load L1 (W)", "Load L2 (W)", "Battery V", "Battery A"],
    });
    expect(of("Time,Load,Load,Grid,Grid\n,L1,L2,L1,L2\n,W,W,W,W", [], data)).toMatchObject({
      row: 1,
      groupRow: 0,
      unitRow: 2,
      titles: ["Time", "Load L1 (W)", "Load L2 (W)", "Grid L1 (W)", "Grid L2 (W)"],
    });
  });

  it("reads more groups than half the columns where nothing stands over the time", () => {
    const data = ["00:00,1,2,3,4,5", "00:01,2,3,4,5,6", "00:02,3,4,5,6,7"].join("\n");
    const above = ",Load,Solar,Battery,,Inverter\nTime,Total (W),Power (W),Current (A),SOC (%),Heat (C)";
    expect(of(above, [], data)).toMatchObject({
      groupRow: 0,
      titles: [
        "Time",
        "Load Total (W)",
        "Solar Power (W)",
        "Battery Current (A)",
        "Battery SOC (%)",
        "Inverter Heat (C)",
      ],
    });
  });

  it("takes no line above the table for groups", () => {
    expect(of("Site,Alder Creek,\nTime,Load,Battery")).toMatchObject({ row: 1, groupRow: -1 });
    expect(of("Site:,,Pottery\nTime,Load,Battery")).toMatchObject({ row: 1, groupRow: -1 });
  });

  it("finds none over figures that have no texts above them, whatever the lines further up", () => {
    expect(of("")).toMatchObject({ row: -1, firstRow: 0, names: ["1", "2", "3"] });
    expect(of("Alder Creek Pottery\n")).toMatchObject({ row: -1, firstRow: 2, names: ["1", "2", "3"] });
  });

  it("finds a header whose names are numbers for the most part", () => {
    expect(of("Time,1,2")).toMatchObject({ row: 0, names: ["Time", "1", "2"] });
  });

  it("finds a header over rows that begin with missing values", () => {
    const data = `2026-05-01 00:00,--,\n${DATA}`;
    expect(of("Time,Load,Battery", [], data)).toMatchObject({ row: 0 });
  });

  it("leaves out columns at the end that have neither name nor value", () => {
    const data = DATA.replaceAll("\n", ",\n").concat(",");
    expect(of("Time,Load,Battery,", [], data)?.names).toEqual(["Time", "Load", "Battery"]);
    expect(of("Time,Load,Battery", [], data)?.names).toEqual(["Time", "Load", "Battery"]);
  });

  it("gives the column of row numbers, which has no name, an empty one", () => {
    const data = DATA.split("\n")
      .map((line, i) => `${i},${line}`)
      .join("\n");
    expect(of("Time,Load,Battery", [], data)?.names).toEqual(["", "Time", "Load", "Battery"]);
    expect(of(",Time,Load,Battery", [], data)?.names).toEqual(["", "Time", "Load", "Battery"]);
  });

  it("takes the row that has the names of a column map", () => {
    expect(of("Time,Load,Battery\na,b,c", ["Load"])).toMatchObject({ row: 0, confidence: 1 });
  });

  it("takes the header's line where it is stated", () => {
    const rows = rowsOf(`Time,Load,Battery\na,b,c\n${DATA}`);
    expect(sniffHeader(rows, 3, [], 0)).toMatchObject({ row: 0, firstRow: 2, confidence: 1 });
    expect(sniffHeader(rows, 3, [], -1)).toMatchObject({ row: -1, names: ["1", "2", "3"] });
  });
});
