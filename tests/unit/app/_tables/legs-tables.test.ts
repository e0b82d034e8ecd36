import { describe, expect, it } from "vitest";
import { legDensityTable } from "../../../../app/_tables/leg-density";
import { legVoltages } from "../../../../app/_tables/leg-voltages";
import { legsByHour } from "../../../../app/_tables/legs-by-hour";
import { neutralCurrent } from "../../../../app/_tables/neutral-current";
import { toCsv } from "../../../../app/_tables/to-csv";

const lines = (csv: string) => csv.trim().split(/\r?\n/);

describe("the tables of the legs", () => {
  it("have a row a cell, by L1, then by L2", () => {
    const cells = [
      { l1W: 100, l2W: 0, heldS: 60, onInverterS: 0 },
      { l1W: 50, l2W: 100, heldS: 30.5, onInverterS: 30.5 },
      { l1W: 50, l2W: 50, heldS: 10, onInverterS: 10 },
    ];
    expect(lines(toCsv(legDensityTable({ cellW: 50, cells })))).toEqual([
      "L1 (W),L2 (W),Held (s),On the inverter (s)",
      "50,50,10,10",
      "50,100,30.5,30.5",
      "100,0,60,0",
    ]);
    expect(legDensityTable({ cellW: 50, cells: [] }).rows).toEqual([]);
  });

  it("have an empty cell for an hour that isn't known", () => {
    const table = legsByHour([
      { hour: 0, l1W: 500, l1HeldS: 60, l2W: null, l2HeldS: 0 },
      { hour: 1, l1W: 500, l1HeldS: 60, l2W: 700, l2HeldS: 60 },
    ]);
    expect(lines(toCsv(table)).slice(1)).toEqual(["0,500,,,60,0", "1,500,700,-200,60,60"]);
    expect(table.columns[0].text(table.rows[1])).toBe("01:00 to 02:00");
  });

  it("have a row a voltage that any leg had, and nothing for a leg without", () => {
    const l1 = [
      { volts: 0, share: 0.1 },
      { volts: 0.5, share: 0 },
      { volts: 120, share: 0.9 },
    ];
    expect(legVoltages({ binV: 0.5, l1, l2: [] }).rows).toEqual([
      { volts: 0, l1: 0.1, l2: null },
      { volts: 120, l1: 0.9, l2: null },
    ]);
    expect(legVoltages({ binV: 0.5, l1, l2: [{ volts: 119.5, share: 1 }] }).rows[1]).toEqual({
      volts: 119.5,
      l1: 0,
      l2: 1,
    });
  });

  it("say the neutral's greatest current as such", () => {
    const table = neutralCurrent({
      heldS: 60,
      maxA: 30,
      maxAtMs: 0,
      shares: [0, 0.001, 0.5],
      exceededA: [30, 12, 4.25],
      binA: 0.5,
    });
    expect(table.rows.map((row) => table.columns.map(({ text }) => text(row)))).toEqual([
      ["greatest", "30.0\u00a0A"],
      ["0.1\u00a0%", "12.0\u00a0A"],
      ["50\u00a0%", "4.3\u00a0A"],
    ]);
  });
});
