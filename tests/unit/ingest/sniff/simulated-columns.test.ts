import { describe, expect, it } from "vitest";
import { sniffLog } from "../../../../src/ingest/sniff-log";
import { type SimulatedColumns, type SimulatedFigure, simulatedColumns } from "./simulated-columns";

type Column = { figure: SimulatedFigure; name?: string; times?: number; digits?: number };

const columnsOf = (...figures: SimulatedFigure[]): Column[] => figures.map((figure) => ({ figure }));
const flipped = (columns: Column[], ...which: SimulatedFigure[]) =>
  columns.map((c) => (which.includes(c.figure) ? { ...c, times: -(c.times ?? 1) } : c));
const inKilo = (columns: Column[]) =>
  columns.map((c) => (c.figure.endsWith("W") ? { ...c, times: (c.times ?? 1) / 1000, digits: 3 } : c));

/** A CSV log of the simulated house; without names there is no header. */
function logOf(
  house: SimulatedColumns,
  columns: Column[],
  more: (i: number) => string[] = () => [],
): Uint8Array {
  const named = columns.some((c) => c.name !== undefined);
  const lines = named ? [["time", ...columns.map((c) => c.name ?? "")].join(",")] : [];
  house.timesMs.forEach((ms, i) => {
    const local = new Date(ms - 6 * 3_600_000).toISOString().slice(0, 19);
    const cells = columns.map(({ figure, times = 1, digits = figure.endsWith("W") ? 0 : 2 }) =>
      (times * house.figures[figure][i]).toFixed(digits),
    );
    lines.push([local, ...cells, ...more(i)].join(","));
  });
  return new TextEncoder().encode(`${lines.join("\n")}\n`);
}

const sniff = (bytes: Uint8Array) => sniffLog(bytes, null, { name: "log.csv", strict: false });

const backup = await simulatedColumns(4, 120, "backup", 1);
const beside = await simulatedColumns(4, 120, "beside", 1);

describe("logs of a simulated house", { timeout: 120_000 }, () => {
  it.each([
    [1, 1],
    [-1, 1],
    [1, -1],
    [-1, -1],
  ])("without any names give channels, units and signs (%i, %i)", (battery, grid) => {
    let columns = columnsOf("l1W", "l2W", "solarW", "batteryW", "gridW", "socPct");
    if (battery < 0) columns = flipped(columns, "batteryW");
    if (grid < 0) columns = flipped(columns, "gridW");
    const sniffed = sniff(logOf(backup, columns));
    expect(sniffed.ask).toEqual([]);
    expect(sniffed.map?.channels).toEqual({
      loadL1W: { column: 2, unit: "W", positive: undefined },
      loadL2W: { column: 3, unit: "W", positive: undefined },
      solarW: { column: 4, unit: "W", positive: undefined },
      batteryW: { column: 5, unit: "W", positive: battery > 0 ? "discharge" : "charge" },
      gridW: { column: 6, unit: "W", positive: grid > 0 ? "import" : "export" },
      batterySocPct: { column: 7, unit: "%" },
    });
  });

  it("find the kilowatts, a battery by its volts and amperes, and the total beside the legs", () => {
    const columns = flipped(
      inKilo(columnsOf("loadW", "l2W", "l1W", "gridW", "batteryV", "batteryA", "socPct", "solarW")),
      "batteryA",
    );
    const { map } = sniff(logOf(beside, columns));
    expect(map?.channels).toMatchObject({
      loadW: { column: 2, unit: "kW" },
      gridW: { column: 5, unit: "kW", positive: "import" },
      batteryV: { column: 6 },
      batteryA: { column: 7, positive: "charge" },
      batterySocPct: { column: 8 },
      solarW: { column: 9, unit: "kW" },
    });
  });

  it("find one-way pairs without names", () => {
    const columns = columnsOf("importW", "loadW", "chargeW", "solarW", "exportW", "socPct", "dischargeW");
    const { map } = sniff(logOf(beside, columns));
    expect(map?.channels).toMatchObject({
      loadW: { column: 3 },
      solarW: { column: 5 },
      batteryW: { column: { plus: 8, minus: 4 } },
      gridW: { column: { plus: 2, minus: 6 } },
    });
  });

  it("tell two codes of the source apart by the grid's power", () => {
    const columns = columnsOf("l1W", "l2W", "solarW", "batteryW", "gridW", "socPct");
    const { map } = sniff(logOf(backup, columns, (i) => [backup.sources[i] === "utility" ? "7" : "4"]));
    expect(map?.channels.source).toEqual({ column: 8, words: { "4": "inverter", "7": "utility" } });
  });

  it("leave sensors of something else alone", () => {
    const columns: Column[] = [
      { figure: "l1W", name: "Load L1 (W)" },
      { figure: "l2W", name: "Load L2 (W)" },
      { figure: "solarW", name: "PV (W)" },
      { figure: "batteryW", name: "Battery (W)" },
      { figure: "gridW", name: "Grid (W)" },
      { figure: "tempC", name: "x7" },
    ];
    const sniffed = sniff(logOf(backup, columns));
    expect(sniffed.ask).toEqual([]);
    expect(Object.keys(sniffed.map?.channels ?? {}).sort()).toEqual([
      "batteryW",
      "gridW",
      "loadL1W",
      "loadL2W",
      "solarW",
    ]);
    expect(sniffed.evidence.find((e) => e.choice === "columns not used")?.value).toBe("x7");
  });

  it("ask where nothing tells the battery from the grid, about both", () => {
    const asked = sniff(logOf(beside, columnsOf("solarW", "gridW", "loadW"))).ask.map((q) => q.choice);
    expect(asked.some((c) => c.startsWith("channels."))).toBe(true);
  });

  it("ask where a header states a direction that the balance contradicts", () => {
    const columns: Column[] = [
      { figure: "loadW", name: "Load (W)" },
      { figure: "solarW", name: "PV (W)" },
      { figure: "batteryW", name: "Battery (W) (+ = charge)" },
      { figure: "gridW", name: "Grid (W)" },
    ];
    const sniffed = sniff(logOf(backup, columns));
    const question = sniffed.ask.find((q) => q.choice === "channels.batteryW.positive");
    expect(question?.why).toMatch(/closes to \d+(\.\d)? % one way, to \d+(\.\d)? % the other/);
  });

  it("take sun that is logged below zero for what it is", () => {
    const columns = flipped(
      [
        { figure: "loadW", name: "Load (W)" },
        { figure: "solarW", name: "PV (W)" },
        { figure: "batteryW", name: "Battery (W)" },
        { figure: "gridW", name: "Grid (W)" },
      ],
      "solarW",
    );
    const { map } = sniff(logOf(backup, columns));
    expect(map?.channels.solarW).toEqual({ column: "PV (W)", unit: "W", positive: "consumption" });
  });

  it("take kilowatts under a header of W for kilowatts only where the balance says so as well", () => {
    const columns: Column[] = [
      { figure: "loadW", name: "Load (W)" },
      { figure: "solarW", name: "PV (W)", times: 0.001, digits: 3 },
      { figure: "batteryW", name: "Battery (W)" },
      { figure: "gridW", name: "Grid (W)" },
    ];
    const sniffed = sniff(logOf(backup, columns));
    const asked = sniffed.ask.map((q) => q.choice);
    if (!asked.includes("channels.solarW.unit")) expect(sniffed.map?.channels.solarW?.unit).toBe("kW");
    expect(sniffed.evidence.find((e) => e.choice === "channels.solarW.unit")?.value ?? "kW").toBe("kW");
  });
});
