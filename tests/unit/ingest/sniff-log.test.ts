import { existsSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { fileLogSource } from "../../../src/ingest/file-log-source";
import { readLog } from "../../../src/ingest/read-log";
import { SNIFF_BYTES, sniffLog } from "../../../src/ingest/sniff-log";
import { columnMap } from "../../../src/site/column-map";
import type { ColumnMapInput } from "../../../src/site/column-map-schema";
import { parseColumnMap } from "../../../src/site/parse-column-map";
import { collectingSink, RECEIVED_AT_MS } from "./memory-log";

const OPTIONS = { name: "test.csv", strict: false };
const sniff = (text: string, given: ColumnMapInput | null = null, strict = false) =>
  sniffLog(new TextEncoder().encode(text), given, { ...OPTIONS, strict });
const asked = (text: string, given: ColumnMapInput | null = null) =>
  sniff(text, given).ask.map((q) => q.choice);

/** A day at one minute: night on battery, sun by day, an hour on the utility, all in balance. */
function day(options: {
  batterySign?: 1 | -1;
  gridSign?: 1 | -1;
  header: string;
  cells: (p: Powers) => (string | number)[];
  delimiter?: string;
  time?: (ms: number) => string;
}): string {
  const {
    batterySign = 1,
    gridSign = 1,
    header,
    cells,
    delimiter = ",",
    time = (ms) => new Date(ms).toISOString().slice(0, 19),
  } = options;
  const lines = [header];
  for (let m = 0; m < 1440; m++) {
    const sun = Math.max(0, 3000 * Math.sin(((m - 360) / 720) * Math.PI));
    const l1 = 300 + (m % 97) * 12;
    const l2 = 200 + (m % 53) * 9;
    const onUtility = m >= 1140 && m < 1200;
    const grid = onUtility ? l1 + l2 : 0;
    const battery = onUtility ? 0 : l1 + l2 + 40 - sun;
    const p = {
      at: time(Date.UTC(2026, 4, 1, 0, m)),
      l1,
      l2,
      sun: Math.round(sun),
      battery: Math.round(batterySign * battery),
      grid: gridSign * grid,
      onUtility,
    };
    lines.push(cells(p).join(delimiter));
  }
  return `${lines.join("\n")}\n`;
}
type Powers = {
  at: string;
  l1: number;
  l2: number;
  sun: number;
  battery: number;
  grid: number;
  onUtility: boolean;
};

const plain = (more: Partial<Parameters<typeof day>[0]> = {}) =>
  day({
    header: "Time,Leg 1 (W),Leg 2 (W),Battery (W),PV (W),Grid (W),State",
    cells: (p) => [p.at, p.l1, p.l2, p.battery, p.sun, p.grid, p.onUtility ? "utility" : "inverter"],
    ...more,
  });

describe("sniffLog", () => {
  it("infers a plain log whole, with evidence for each choice", () => {
    const sniffed = sniff(plain());
    expect(sniffed.ask).toEqual([]);
    expect(sniffed.map).toMatchObject({
      time: { column: "Time", format: "auto", zone: "site", stamps: "start" },
      channels: {
        loadL1W: { column: "Leg 1 (W)", unit: "W" },
        loadL2W: { column: "Leg 2 (W)", unit: "W" },
        batteryW: { column: "Battery (W)", unit: "W", positive: "discharge" },
        solarW: { column: "PV (W)", unit: "W" },
        gridW: { column: "Grid (W)", unit: "W", positive: "import" },
        source: { column: "State", words: { inverter: "inverter", utility: "utility" } },
      },
    });
    for (const choice of [
      "delimiter",
      "time.column",
      "time.stamps",
      "channels.batteryW.positive",
      "channels.source.words",
    ]) {
      expect(sniffed.evidence.find((e) => e.choice === choice)).toMatchObject({ from: "guessed" });
    }
    expect(sniffed.evidence.find((e) => e.choice === "time.stamps")?.confidence).toBeLessThan(0.7);
    expect(sniffed.guessed.has("loadL1W")).toBe(true);
    expect(sniffed.preview.length).toBe(8);
  });

  it.each([
    [-1, 1, "charge", "import"],
    [1, -1, "discharge", "export"],
    [-1, -1, "charge", "export"],
  ] as const)("tells signs %i and %i by the balance of powers", (batterySign, gridSign, battery, grid) => {
    expect(sniff(plain({ batterySign, gridSign })).map?.channels).toMatchObject({
      batteryW: { positive: battery },
      gridW: { positive: grid },
    });
  });

  it("asks for a sign that the rows don't show", () => {
    const flat = plain({ cells: (p) => [p.at, p.l1, p.l2, p.battery, p.sun, 0, "inverter"] });
    expect(asked(flat)).toContain("channels.gridW.positive");
    expect(sniff(flat).map).toBeNull();
  });

  it("takes a sign that the header states, and asks where the balance contradicts it", () => {
    const header = "Time,Leg 1 (W),Leg 2 (W),Battery + = charge (W),PV (W),Grid (W),State";
    expect(sniff(plain({ header, batterySign: -1 })).map?.channels.batteryW?.positive).toBe("charge");
    expect(asked(plain({ header }))).toContain("channels.batteryW.positive");
  });

  it("tells two bare state codes apart by the grid's power, and asks about one alone", () => {
    const codes = plain({ cells: (p) => [p.at, p.l1, p.l2, p.battery, p.sun, p.grid, p.onUtility ? 7 : 3] });
    expect(sniff(codes).map?.channels.source?.words).toEqual({ "3": "inverter", "7": "utility" });
    const one = plain({ cells: (p) => [p.at, p.l1, p.l2, p.battery, p.sun, p.grid, 3] });
    expect(asked(one)).toContain("channels.source.words");
  });

  it("takes a bracketed unit, else the size of the figures, and asks where they could be two", () => {
    const kilo = plain({
      header: "Time;L1;L2;Battery kW;PV;Grid;State",
      delimiter: ";",
      cells: (p) => [
        p.at,
        ...[p.l1, p.l2, p.battery, p.sun, p.grid].map((w) => (w / 1000).toFixed(3).replace(".", ",")),
        p.onUtility ? "utility" : "inverter",
      ],
    });
    expect(sniff(kilo).map?.channels).toMatchObject({
      loadL1W: { unit: "kW" },
      batteryW: { unit: "kW" },
      solarW: { unit: "kW" },
    });
    const small = day({ header: "Time,Leg 1 load", cells: (p) => [p.at, Math.round(p.l1 / 100)] });
    expect(asked(small)).toContain("channels.loadL1W.unit");
  });

  it("asks about a unit that it doesn't know", () => {
    const text = day({ header: "Time,Load L1 (BTU/h)", cells: (p) => [p.at, p.l1] });
    const sniffed = sniff(text);
    expect(sniffed.map).toBeNull();
    expect(sniffed.ask.length).toBeGreaterThan(0);
  });

  it("joins one-way columns to a pair", () => {
    const text = day({
      header:
        "Time,Load L1 (W),Load L2 (W),Battery charge (W),Battery discharge (W),PV (W),Import (W),Export (W)",
      cells: (p) => [p.at, p.l1, p.l2, Math.max(0, -p.battery), Math.max(0, p.battery), p.sun, p.grid, 0],
    });
    expect(sniff(text).map?.channels).toMatchObject({
      batteryW: { column: { plus: "Battery discharge (W)", minus: "Battery charge (W)" } },
      gridW: { column: { plus: "Import (W)", minus: "Export (W)" } },
    });
  });

  it("asks which of two columns is a channel", () => {
    const text = day({ header: "Time,Load L1 (W),Leg 1 (W)", cells: (p) => [p.at, p.l1, p.l1 + 5] });
    expect(asked(text)).toContain("channels.loadL1W");
  });

  it("takes loads that only a letter names where the powers balance with them, and says to what", () => {
    const text = day({
      header: "Time,P1,P2,Battery (W),PV (W),Grid (W)",
      cells: (p) => [p.at, p.l1, p.l2, p.battery, p.sun, p.grid],
    });
    const sniffed = sniff(text);
    expect(sniffed.ask).toEqual([]);
    expect(sniffed.map?.channels).toMatchObject({ loadL1W: { column: "P1" }, loadL2W: { column: "P2" } });
    const figures = sniffed.evidence.find((e) => e.choice === "channels.batteryW.positive")?.figures;
    expect(figures?.closesToPct).toBeLessThan(5);
    expect(figures?.otherwiseToPct).toBeGreaterThan(50);
  });

  it("reads canonical names without a doubt", () => {
    const text = day({
      header: "time,loadL1W,load_l2_w,batteryW,solarW,gridW,source",
      cells: (p) => [p.at, p.l1, p.l2, p.battery, p.sun, p.grid, p.onUtility ? "utility" : "inverter"],
    });
    expect(Object.keys(sniff(text).map?.channels ?? {}).sort()).toEqual([
      "batteryW",
      "gridW",
      "loadL1W",
      "loadL2W",
      "solarW",
      "source",
    ]);
  });

  it.each([
    ["Spanish", "Fecha,Carga L1 (W),Carga L2 (W),Batería (W),Solar (W),Red (W),Estado"],
    ["German", "Zeit,Last L1 (W),Last L2 (W),Batterie (W),Sonne (W),Netz (W),Status"],
    ["French", "Heure,Charge L1 (W),Charge L2 (W),Batterie (W),Solaire (W),Réseau (W),Etat"],
  ])("reads %s names", (_, header) => {
    const { channels } = sniff(plain({ header })).map ?? { channels: {} };
    expect(Object.keys(channels)).toEqual(
      expect.arrayContaining(["loadL1W", "loadL2W", "batteryW", "solarW", "gridW"]),
    );
  });

  it("joins date and time of two columns, with the day's place shown by the days that run", () => {
    const text = plain({
      header: "Date,Clock time,Leg 1 (W),Leg 2 (W)",
      cells: (p) => [`${p.at.slice(8, 10)}.05.2026`, p.at.slice(11), p.l1, p.l2],
      time: (ms) => new Date(ms + 13 * 86_400_000).toISOString().slice(0, 19),
    });
    expect(sniff(text).map?.time).toMatchObject({
      column: ["Date", "Clock time"],
      format: "dd.MM.yyyy HH:mm:ss",
    });
  });

  it("asks whether the day or the month comes first where nothing shows it", () => {
    const text = plain({ time: (ms) => `01/02/2026 ${new Date(ms).toISOString().slice(11, 19)}` });
    expect(sniff(text).ask.find((q) => q.choice === "time.format")?.options).toEqual([
      "dd/MM/yyyy HH:mm:ss",
      "MM/dd/yyyy HH:mm:ss",
    ]);
  });

  it("takes UTC from the header, and asks where the sun shines at night", () => {
    const header = "Time (UTC),Leg 1 (W),Leg 2 (W),Battery (W),PV (W),Grid (W),State";
    expect(sniff(plain({ header })).map?.time.zone).toBe("UTC");
    const shifted = plain({ time: (ms) => new Date(ms + 7 * 3_600_000).toISOString().slice(0, 19) });
    expect(asked(shifted)).toContain("time.zone");
  });

  it("asks for a time column and a load where there is none", () => {
    expect(asked("a,b\n1,2\n3,4\n5,6\n")).toEqual(
      expect.arrayContaining(["time.column", "channels.loadL1W"]),
    );
  });

  it("takes what is given and infers the rest", () => {
    const given: ColumnMapInput = {
      version: 1,
      channels: { batteryW: { column: "Battery (W)", unit: "W", positive: "charge" } },
    };
    const sniffed = sniff(plain(), given);
    expect(sniffed.map?.channels.batteryW).toMatchObject({ positive: "charge" });
    expect(sniffed.evidence.find((e) => e.choice === "channels.batteryW")).toMatchObject({
      from: "given",
      confidence: 1,
    });
    expect(sniffed.guessed.has("batteryW")).toBe(false);
  });

  it("infers nothing when strict", () => {
    expect(sniff(plain(), null, true).ask.map((q) => q.choice)).toEqual(["time.column", "channels.loadL1W"]);
    const given: ColumnMapInput = {
      version: 1,
      time: { column: "Time" },
      channels: { loadL1W: { column: "Leg 1 (W)" } },
    };
    expect(Object.keys(sniff(plain(), given, true).map?.channels ?? {})).toEqual(["loadL1W"]);
  });

  it("asks for a unit when strict and the header contradicts the default", () => {
    const text = day({ header: "Time,Leg 1 (kW)", cells: (p) => [p.at, p.l1 / 1000] });
    const given: ColumnMapInput = {
      version: 1,
      time: { column: "Time" },
      channels: { loadL1W: { column: "Leg 1 (kW)" } },
    };
    expect(sniff(text, given, true).ask.map((q) => q.choice)).toEqual(["channels.loadL1W.unit"]);
    expect(sniff(text, given).map?.channels.loadL1W?.unit).toBe("kW");
  });

  it("refuses what is no log, and a given column that isn't there", () => {
    expect(sniff("").refusal?.code).toBe("file.empty");
    expect(sniffLog(new Uint8Array([1, 0, 2, 0]), null, OPTIONS).refusal?.code).toBe("file.not-a-table");
    const given: ColumnMapInput = { version: 1, channels: { loadL1W: { column: "nope" } } };
    expect(sniff(plain(), given).refusal?.code).toBe("header.no-column");
  });

  describe("on the conformance logs", { timeout: 60_000 }, () => {
    const folder = resolve(import.meta.dirname, "../../../../shared/conformance");
    const there = existsSync(folder);
    it("has them under CI", () => {
      if (!there) console.warn("Ran without the conformance pack: it is not beside this checkout.");
      expect(there || process.env.CI !== "true").toBe(true);
    });

    it.skipIf(!there).each(["c1_10s_dst", "c2_60s_avg", "c3_300s_wall", "c4_1s_eager", "c5_20s_codes"])(
      "reads %s without its columns.json to the same samples, or asks",
      async (name) => {
        const file = join(folder, name, "log.csv");
        const sniffed = sniffLog(readFileSync(file).subarray(0, SNIFF_BYTES), null, OPTIONS);
        const written = parseColumnMap(JSON.parse(readFileSync(join(folder, name, "columns.json"), "utf8")));
        if (!written.ok) throw new Error("columns.json of the pack is refused");
        const expected = JSON.parse(readFileSync(join(folder, name, "expected.json"), "utf8")).coverage
          .samples;
        const given = columnMap(written.map);
        if (given === null) throw new Error("no time column");
        const options = { siteZone: "America/Denver", receivedAtMs: RECEIVED_AT_MS };
        const a = collectingSink();
        const verdict = await readLog(await fileLogSource(file), given, options, a);
        expect(!verdict.refused && verdict.counts).toMatchObject({ records: expected, taken: expected });
        expect(a.samples.length).toBe(expected);
        if (sniffed.map === null) {
          expect(sniffed.ask.length).toBeGreaterThan(0);
          return;
        }
        const b = collectingSink();
        // No log shows whether its times stand at the start or the end: that is taken from the given map.
        const map = { ...sniffed.map, time: { ...sniffed.map.time, stamps: given.time.stamps } };
        await readLog(await fileLogSource(file), map, options, b);
        expect(b.samples.length).toBe(expected);
        expect(b.faultWords.map((w) => w.code)).toEqual(a.faultWords.map((w) => w.code));
        let same = 0;
        for (let i = 0; i < expected; i++)
          if (JSON.stringify(b.samples[i]) === JSON.stringify(a.samples[i])) same++;
        expect(same).toBe(expected);
      },
    );
  });
});
