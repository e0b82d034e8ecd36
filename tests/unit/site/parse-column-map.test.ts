import { describe, expect, it } from "vitest";
import { columnMap, DEFAULT_MISSING, DEFAULT_NO_FAULT } from "../../../src/site/column-map";
import { parseColumnMap } from "../../../src/site/parse-column-map";

const problem = (json: object) => {
  const parsed = parseColumnMap({ version: 1, ...json });
  return parsed.ok ? null : parsed.problems[0];
};

describe("parseColumnMap", () => {
  it("takes the example of the file format, and gives it back as written", () => {
    const json = {
      version: 1,
      time: { column: "Stamp", format: "auto", zone: "site", stamps: "start" },
      channels: {
        loadL1W: { column: "Leg A kW", unit: "kW" },
        batteryA: { column: "Pack current", unit: "A", positive: "charge" },
        gridW: { column: { plus: "import", minus: "export" }, unit: "W" },
        source: { column: "Feed", words: { own: "inverter", street: "utility" } },
        faultCode: { column: "Code", noFault: ["", "0", "OK"], words: { "17": "overload" } },
      },
      missing: ["", "--", "NaN"],
    };
    const parsed = parseColumnMap(json);
    expect(parsed.ok && parsed.map).toEqual(json);
  });

  it("takes energy for a power: a running total unless it says the energy of each interval", () => {
    const json = {
      version: 1 as const,
      time: { column: "t" },
      channels: {
        solarW: { column: "sun", unit: "kWh" as const },
        loadW: { column: "load", unit: "Wh" as const, energy: "interval" as const },
        batteryW: { column: { plus: "out", minus: "in" }, unit: "MWh" as const, energy: "counter" as const },
        gridW: { column: "grid", unit: "kW" as const },
      },
    };
    expect(parseColumnMap(json)).toEqual({ ok: true, map: json });
    expect(columnMap(json)?.channels).toMatchObject({
      solarW: { unit: "kWh", energy: "counter" },
      loadW: { unit: "Wh", energy: "interval" },
      batteryW: { unit: "MWh", energy: "counter" },
    });
    expect(columnMap(json)?.channels.gridW).not.toHaveProperty("energy");
  });

  it("takes sun and loads that count below zero", () => {
    const json = {
      version: 1,
      channels: {
        solarW: { column: "a", unit: "W", positive: "consumption" },
        loadL1W: { column: "b", unit: "W", positive: "generation" },
      },
    };
    expect(parseColumnMap(json)).toEqual({ ok: true, map: json });
  });

  it("takes part of a map, and nothing but a version", () => {
    expect(parseColumnMap({ version: 1 }).ok).toBe(true);
    expect(parseColumnMap({ version: 1, channels: { loadW: { column: 3 } } }).ok).toBe(true);
    expect(parseColumnMap({ version: 1, time: { zone: "UTC" } }).ok).toBe(true);
  });

  it.each([
    ["an unknown channel", { channels: { loadL1: { column: "x" } } }, "channels.loadL1", /"loadL1W"/],
    [
      "a unit of another quantity",
      { channels: { loadL1W: { column: "x", unit: "A" } } },
      "channels.loadL1W.unit",
      /./,
    ],
    [
      "energy for a peak of power",
      { channels: { loadL1PeakW: { column: "x", unit: "Wh" } } },
      "channels.loadL1PeakW.unit",
      /./,
    ],
    [
      "a form of energy without a unit of energy",
      { channels: { solarW: { column: "x", unit: "W", energy: "counter" } } },
      "channels.solarW.energy",
      /./,
    ],
    [
      "a form of energy on a current",
      { channels: { batteryA: { column: "x", energy: "counter" } } },
      "channels.batteryA.energy",
      /./,
    ],
    [
      "a direction of another channel",
      { channels: { gridW: { column: "x", positive: "charge" } } },
      "channels.gridW.positive",
      /./,
    ],
    [
      "a sign on a load",
      { channels: { loadW: { column: "x", positive: "import" } } },
      "channels.loadW.positive",
      /./,
    ],
    [
      "a misspelt half of a pair",
      { channels: { gridW: { column: { plus: "a", minos: "b" } } } },
      "channels.gridW.column.minos",
      /"minus"/,
    ],
    [
      "a pair on a load",
      { channels: { loadW: { column: { plus: "a", minus: "b" } } } },
      "channels.loadW.column",
      /./,
    ],
    [
      "a state that isn't one",
      { channels: { source: { column: "x", words: { a: "grid" } } } },
      "channels.source.words.a",
      /./,
    ],
    [
      "a format without an hour",
      { time: { column: "t", format: "dd/MM/yyyy" } },
      "time.format",
      /dd\/MM\/yyyy HH:mm:ss/,
    ],
    [
      "a zone that doesn't exist",
      { time: { column: "t", zone: "Mars/Base" } },
      "time.zone",
      /America\/Denver/,
    ],
    ["a column number of 0", { time: { column: 0 } }, "time.column", /from 1/],
    ["eight time columns", { time: { column: "abcdefgh".split("") } }, "time.column", /./],
    ["an unknown key", { tiem: {} }, "tiem", /"time"/],
  ])("refuses %s, saying where and how to mend it", (_, json, path, hint) => {
    expect(problem(json)).toMatchObject({ path, hint: expect.stringMatching(hint) });
  });

  it.each(["site", "UTC", "Europe/Berlin", "-07:00", "+05:45"])("takes the zone %s", (zone) => {
    expect(problem({ time: { column: "t", zone } })).toBeNull();
  });
});

describe("columnMap", () => {
  it("fills in the defaults of the file format and infers nothing", () => {
    expect(
      columnMap({
        version: 1,
        time: { column: "t" },
        channels: { loadL1W: { column: "a" }, source: { column: "s" }, faultCode: { column: "f" } },
      }),
    ).toEqual({
      version: 1,
      time: { column: "t", format: "auto", zone: "site", stamps: "start" },
      channels: {
        loadL1W: { column: "a", unit: "W" },
        source: { column: "s", words: {} },
        faultCode: { column: "f", noFault: DEFAULT_NO_FAULT, words: {} },
      },
      missing: DEFAULT_MISSING,
    });
  });

  it("is null without a time column", () => {
    expect(columnMap({ version: 1 })).toBeNull();
  });
});
