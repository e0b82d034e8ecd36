import { describe, expect, it } from "vitest";
import {
  columnRefs,
  columnsJson,
  type MappedColumn,
  mappedColumns,
  mapTexts,
  questionsLeft,
  withOpenChoices,
} from "../../../../app/_data/column-map-form";
import type { ColumnMapInput } from "../../../../src/site/column-map-schema";
import { parseColumnMap } from "../../../../src/site/parse-column-map";

const map: ColumnMapInput = {
  version: 1,
  time: { column: ["Date", "Time"], format: "dd/MM/yyyy HH:mm", zone: "site", stamps: "end" },
  channels: {
    loadL1W: { column: "Leg A kW", unit: "kW" },
    batteryA: { column: "Pack", unit: "A", positive: "charge" },
    gridW: { column: { plus: "In", minus: "Out" }, unit: "W" },
    source: { column: "Feed", words: { own: "inverter", "a = b": "utility" } },
    faultCode: { column: "Code", noFault: ["", "0"], words: { "17": "overload" } },
  },
  missing: ["", "--"],
};
const names = ["Date", "Time", "Leg A kW", "Pack", "In", "Out", "Feed", "Code", "Other"];
const refs = columnRefs(names, true);

describe("the form of a column map", () => {
  it("shows every column with what it is, and gives the same map back", () => {
    const columns = mappedColumns(map, refs);
    expect(columns.map(({ as }) => as)).toEqual([
      "time",
      "time",
      "loadL1W",
      "batteryA",
      "gridW",
      "gridW",
      "source",
      "faultCode",
      "",
    ]);
    const back = columnsJson(columns, mapTexts(map), refs);
    expect(back).toEqual({ ok: true, json: map });
    expect(parseColumnMap((back as { json: unknown }).json).ok).toBe(true);
  });

  it("keeps that an energy is of each interval, the day of the first row and the decimal mark", () => {
    const energy: ColumnMapInput = {
      version: 1,
      time: { column: "Time", date: "2026-05-14" },
      text: { decimalMark: "," },
      channels: {
        loadW: { column: "Use", unit: "kWh", energy: "interval" },
        gridW: { column: { plus: "In", minus: "Out" }, unit: "kWh" },
      },
    };
    const named = columnRefs(["Time", "Use", "In", "Out"], true);
    const columns = mappedColumns(energy, named);
    expect(columns[1]).toEqual({ as: "loadW", unit: "kWh interval", way: "" });
    expect(columnsJson(columns, mapTexts(energy), named)).toEqual({ ok: true, json: energy });
    const asked = withOpenChoices(columns, mapTexts(energy), ["time.date", "text.decimalMark"]).texts;
    expect([asked.date, asked.decimalMark]).toEqual(["", ""]);
    const left = (given: ColumnMapInput) =>
      questionsLeft([{ choice: "text.decimalMark" }, { choice: "time.date" }], given, energy);
    expect(left(energy)).toEqual([]);
    expect(left({ version: 1 })).toHaveLength(2);
  });

  it("names a column by its number where its name isn't its own or there is no header", () => {
    expect(columnRefs(["a", "b", "a", ""], true)).toEqual([1, "b", 3, 4]);
    expect(columnRefs(["1", "2"], false)).toEqual([1, 2]);
  });

  it("finds a column that the map gives by number", () => {
    const columns = mappedColumns({ version: 1, channels: { loadW: { column: 3 } } }, refs);
    expect(columns[2]).toEqual({ as: "loadW", unit: "", way: "" });
  });

  it("refuses a channel that two columns claim, and half a pair, by name", () => {
    const columns = mappedColumns(map, refs);
    const twice: MappedColumn[] = columns.with(8, { as: "loadL1W", unit: "", way: "" });
    const half: MappedColumn[] = columns.with(5, { as: "", unit: "", way: "" });
    expect(columnsJson(twice, mapTexts(map), refs)).toMatchObject({
      ok: false,
      problems: [expect.stringContaining("loadL1W is chosen for 2 columns (Leg A kW, Other)")],
    });
    expect(columnsJson(half, mapTexts(map), refs)).toMatchObject({
      ok: false,
      problems: [expect.stringContaining("gridW has one-way columns")],
    });
  });

  it("leaves a word without a meaning for the check of columns.json to refuse", () => {
    const result = columnsJson(mappedColumns(map, refs), { ...mapTexts(map), sourceWords: "own" }, refs);
    expect(parseColumnMap((result as { json: unknown }).json).ok).toBe(false);
  });

  it("presets nothing that the log doesn't settle, and takes no answer for one that wasn't given", () => {
    const open = withOpenChoices(mappedColumns(map, refs), mapTexts(map), [
      "channels.batteryA.positive",
      "channels.loadL1W",
      "time.stamps",
    ]);
    expect(open.columns[3]).toEqual({ as: "batteryA", unit: "A", way: "" });
    expect(open.columns[2].as).toBe("?");
    expect(open.texts.stamps).toBe("");
    expect(columnsJson(open.columns, open.texts, refs)).toEqual({
      ok: false,
      problems: ['Choose what the column Leg A kW is taken for, or "nothing".'],
    });
  });

  it("leaves a question open until the map says something at its place", () => {
    const ask = [
      "time.zone",
      "channels.batteryA.positive",
      "channels.gridW.positive",
      "channels.solarW.unit",
      "channels.source.words",
    ].map((choice) => ({ choice }));
    const left = (given: ColumnMapInput) => questionsLeft(ask, given, map).map(({ choice }) => choice);
    // Only the words are no more than what was inferred; the pair of gridW has its direction, solarW is out.
    expect(left(map)).toEqual(["channels.source.words"]);
    expect(
      left({
        version: 1,
        channels: {
          batteryA: { column: "Pack" },
          gridW: { column: "In" },
          source: { column: "Feed", words: { own: "inverter", street: "utility" } },
        },
      }),
    ).toEqual(["time.zone", "channels.batteryA.positive", "channels.gridW.positive"]);
  });
});
