import { describe, expect, it } from "vitest";
import { sniffLog } from "../../../../src/ingest/sniff-log";
import { type SimulatedFigure, simulatedColumns } from "./simulated-columns";

const house = await simulatedColumns(3, 300, "backup", 1);
const beside = await simulatedColumns(3, 300, "beside", 1);
type Row = { readonly [F in SimulatedFigure]: number } & { readonly source: string; readonly at: number };

/** A CSV log of named columns, each made from a row's figures. */
function logOf(
  of: typeof house,
  columns: { readonly [name: string]: (row: Row) => number | string },
  stamp: (ms: number) => string = (ms) => new Date(ms - 6 * 3_600_000).toISOString().slice(0, 19),
): Uint8Array {
  const lines = [["time", ...Object.keys(columns)].join(",")];
  of.timesMs.forEach((ms, i) => {
    const figures = Object.entries(of.figures).map(([name, values]) => [name, values[i]]);
    const row = { ...Object.fromEntries(figures), source: of.sources[i], at: i } as Row;
    const cells = Object.values(columns).map((cell) => {
      const value = cell(row);
      return typeof value === "number" ? String(Math.round(value * 1000) / 1000) : value;
    });
    lines.push([stamp(ms), ...cells].join(","));
  });
  return new TextEncoder().encode(`${lines.join("\n")}\n`);
}

const sniff = (bytes: Uint8Array) => sniffLog(bytes, null, { name: "log.csv", strict: false });
const w = (figure: SimulatedFigure) => (row: Row) => Math.round(row[figure]);
const REST = { "PV W": w("solarW"), "Battery W": w("batteryW"), "Grid W": w("gridW") };
const LEGS = { "L1 W": w("l1W"), "L2 W": w("l2W") };

describe("names that the figures contradict", { timeout: 60_000 }, () => {
  it("leave an inverter's own output unused beside legs that it doesn't add up to", () => {
    const output = (row: Row) => (row.source === "utility" ? 0 : Math.round(row.loadW));
    const { map, evidence } = sniff(logOf(house, { "Inverter output W": output, ...LEGS, ...REST }));
    expect(map?.channels.loadW).toBeUndefined();
    expect(evidence.find((e) => e.choice === "columns not used")?.value).toBe("Inverter output W");
  });

  it("ask about a column named load that is 0 while the legs are not", () => {
    const load = (row: Row) => (row.at % 40 === 0 ? 0 : Math.round(row.loadW));
    const { ask } = sniff(logOf(house, { "Load W": load, ...LEGS, ...REST }));
    expect(ask.some((q) => q.choice.startsWith("channels.load"))).toBe(true);
  });

  it.each([
    ["Main", "Shop W"],
    ["Main panel", "Kitchen W"],
  ])("take the legs of a %s for the loads where the balance says so", (main, circuit) => {
    const columns = {
      [`${main} L1 W`]: w("l1W"),
      [`${main} L2 W`]: w("l2W"),
      [circuit]: (row: Row) => Math.round(0.4 * row.l2W),
    };
    const { map } = sniff(logOf(house, { ...columns, ...REST }));
    expect(map?.channels).toMatchObject({
      loadL1W: { column: `${main} L1 W` },
      loadL2W: { column: `${main} L2 W` },
      gridW: { column: "Grid W", positive: "import" },
    });
    expect(map?.channels.loadW).toBeUndefined();
  });

  it("take the mains of a main panel for the grid where a house's load is there as well", () => {
    const columns = {
      "Main L1 W": (row: Row) => Math.round(row.gridW / 2 + 20),
      "Main L2 W": (row: Row) => Math.round(row.gridW / 2 - 20),
      "House W": w("loadW"),
      "PV W": w("solarW"),
      "Battery W": w("batteryW"),
    };
    const { draft } = sniff(logOf(beside, columns));
    expect(draft.channels).toMatchObject({
      gridL1W: { column: "Main L1 W" },
      gridL2W: { column: "Main L2 W" },
      loadW: { column: "House W" },
    });
  });

  it("ask whether the mains of a panel are the grid's or the loads' where no balance shows it", () => {
    const legs = { "Main L1 W": w("l1W"), "Main L2 W": w("l2W") };
    for (const columns of [legs, { ...legs, "PV W": w("solarW") }]) {
      const asked = sniff(logOf(beside, columns)).ask.map((q) => q.choice);
      expect(asked.some((c) => /^channels\.(load|grid)L1W$/.test(c))).toBe(true);
    }
  });

  it("ask where names leave the balance open and another reading closes it", () => {
    const columns = {
      "House W": w("gridW"),
      "Grid W": w("loadW"),
      "PV W": w("solarW"),
      "Battery W": w("batteryW"),
    };
    const asked = sniff(logOf(beside, columns)).ask.map((q) => q.choice);
    expect(asked).toContain("channels.loadW");
  });

  it("read a leg whose clamp is turned round by its own sign", () => {
    const { map, evidence } = sniff(
      logOf(house, { ...LEGS, "L2 W": (row) => -Math.round(row.l2W), ...REST }),
    );
    expect(map?.channels.loadL1W?.positive).toBeUndefined();
    expect(map?.channels.loadL2W).toEqual({ column: "L2 W", unit: "W", positive: "generation" });
    expect(map?.channels.gridW?.positive).toBe("import");
    expect(evidence.some((e) => e.choice === "channels.loadL2W.positive")).toBe(true);
  });

  it("take what goes in on a leg for the grid's", () => {
    const half = (row: Row) => Math.round(row.gridW / 2);
    const columns = {
      "AC out L1 W": w("l1W"),
      "AC out L2 W": w("l2W"),
      "AC in L1 W": half,
      "AC in L2 W": half,
      "PV W": w("solarW"),
      "Battery W": w("batteryW"),
    };
    expect(sniff(logOf(house, columns)).draft.channels).toMatchObject({
      loadL1W: { column: "AC out L1 W" },
      gridL1W: { column: "AC in L1 W" },
      gridL2W: { column: "AC in L2 W" },
    });
  });

  it("ask about an inverter's legs beside those of a bypass that takes turns with it", () => {
    const on = (source: string, figure: SimulatedFigure) => (row: Row) =>
      row.source === source ? Math.round(row[figure]) : 0;
    const columns = {
      "Inv L1 W": on("inverter", "l1W"),
      "Inv L2 W": on("inverter", "l2W"),
      "Bypass L1 W": on("utility", "l1W"),
      "Bypass L2 W": on("utility", "l2W"),
      "PV W": w("solarW"),
      "Battery W": w("batteryW"),
    };
    expect(sniff(logOf(house, columns)).ask.map((q) => q.choice)).toContain("channels.loadL1W");
  });

  it("ask about a one-way pair of which one half counts below zero", () => {
    const columns = {
      ...LEGS,
      "PV W": w("solarW"),
      "Battery W": w("batteryW"),
      "Import W": w("importW"),
      "Export W": (row: Row) => -Math.round(row.exportW),
    };
    const question = sniff(logOf(beside, columns)).ask.find((q) => q.choice === "channels.gridW");
    expect(question?.options).toEqual(["Import W", "Export W"]);
  });

  it("take Charge W for the battery's beside a charge in percent", () => {
    const columns = {
      ...LEGS,
      "PV W": w("solarW"),
      "Charge W": (row: Row) => -Math.round(row.batteryW),
      "Charge %": w("socPct"),
      "Grid W": w("gridW"),
    };
    expect(sniff(logOf(house, columns)).map?.channels).toMatchObject({
      batteryW: { column: "Charge W", positive: "charge" },
      batterySocPct: { column: "Charge %" },
    });
  });

  it.each(["Charge", "Nivel"])("take %s from 0 to 100 that goes with the battery for its charge", (name) => {
    const { map } = sniff(logOf(house, { ...LEGS, ...REST, [name]: w("socPct") }));
    expect(map?.channels.batterySocPct).toEqual({ column: name, unit: "%" });
  });

  it("give each choice a confidence between 0 and 1, and an open balance little", () => {
    for (const columns of [
      { ...LEGS, ...REST },
      { ...LEGS, "PV W": w("solarW"), "Grid W": w("gridW") },
    ]) {
      const { evidence } = sniff(logOf(house, columns));
      for (const { confidence } of evidence) {
        expect(confidence).toBeGreaterThanOrEqual(0);
        expect(confidence).toBeLessThanOrEqual(1);
      }
      const balance = evidence.find((e) => e.choice === "balance of powers");
      const open = Number(balance?.figures.openPct);
      if (open > 50) expect(balance?.confidence).toBeLessThan(0.3);
      else if (open < 5) expect(balance?.confidence).toBeGreaterThan(0.8);
    }
  });

  it("say that legs without names are taken in their order, and aren't sure of it", () => {
    const columns = { "Sensor 3": w("l1W"), "Sensor 5": w("l2W"), "Sensor 1": w("solarW") };
    const more = { "Sensor 2": w("batteryW"), "Sensor 4": w("gridW"), "Sensor 6": w("socPct") };
    const leg = sniff(logOf(house, { ...columns, ...more })).evidence.find(
      (e) => e.choice === "channels.loadL1W",
    );
    expect(leg).toMatchObject({ value: "Sensor 3", figures: { legs: "by their order" } });
    expect(leg?.confidence).toBeLessThanOrEqual(0.75);
  });

  it("read a word for no supply by the loads that run, also in a column of what feeds the input", () => {
    for (const name of ["Supply", "AC input"]) {
      const source = (row: Row) => (row.source === "utility" ? "Grid" : "None");
      const { draft } = sniff(logOf(house, { ...LEGS, ...REST, [name]: source }));
      expect(draft.channels?.source).toEqual({ column: name, words: { Grid: "utility", None: "inverter" } });
    }
  });

  it("leave a word for no supply what it says where nothing runs", () => {
    const dead = (figure: SimulatedFigure) => (row: Row) => (row.at < 60 ? 0 : Math.round(row[figure]));
    const columns = {
      "L1 W": dead("l1W"),
      "L2 W": dead("l2W"),
      "PV W": dead("solarW"),
      "Battery W": dead("batteryW"),
      "Grid W": dead("gridW"),
      supply: (row: Row) => (row.at < 60 ? "None" : row.source),
    };
    expect(sniff(logOf(house, columns)).draft.channels?.source?.words?.None).toBe("none");
  });

  it("don't hold times with the zone's abbreviation against the sun of the site's clock", () => {
    const stamp = (ms: number) =>
      `${new Date(ms - 6 * 3_600_000).toISOString().slice(0, 19).replace("T", " ")} MDT`;
    const sniffed = sniff(logOf(house, { ...LEGS, ...REST }, stamp));
    expect(sniffed.ask).toEqual([]);
    expect(sniffed.map?.time.format).toBe("yyyy-MM-dd HH:mm:ss zzz");
  });

  it("don't take a battery's column of a short log for offsets of the time", () => {
    const noon = {
      timesMs: house.timesMs.slice(0, 12),
      sources: house.sources.slice(0, 12),
      figures: house.figures,
    } as typeof house;
    const columns = { ...LEGS, "PV W": w("solarW"), "Battery W": (row: Row) => -3200 - 37 * row.at };
    expect(sniff(logOf(noon, columns)).draft.time?.column).toBe("time");
  });
});
