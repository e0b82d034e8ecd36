import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { review, type Sample, seriesOf } from "../unit/analysis/samples";
import { openData } from "./open-data";

/**
 * One cycle of a laboratory cell, logged by a battery cycler that has Ah and Wh counters of its own (test data of
 * cellpy, MIT; jepegit/cellpy, testdata/data/neware_uio.csv, cycle 2). The instrument counts inside, many times
 * between two of its rows; the rows, mostly 60 s apart, are what our holds have.
 *
 * What holds against the counters, measured 2026-11-25:
 * - Charge. The current is constant, so a hold loses nothing: 2.1e-6 off in discharge, 3.9e-6 in charge.
 * - Energy. The voltage moves within each 60 s, and a hold takes the one it began with: 1.64e-3 too much in
 *   discharge, where volts fall, 1.09e-3 too little in charge, where they rise. That is what sampling at points
 *   costs, whatever the instrument; 1e-4 can't be asked of it.
 * - A log of interval means, as most loggers write, has no such error: of the same rows, the mean of the two ends
 *   of an interval, held for it, is 7.4e-6 and 4.4e-6 off. This is the trapezoid rule, and 1e-4 holds.
 */
const FILE = "cellpy-neware/neware_uio_cycle2.csv";
const { paths, missing } = openData(FILE);

/** Counters at the end of each step, as the instrument printed them. */
const STEPS = [
  { step: "2", rows: 1009, durationS: 58_841, counterAh: 0.00406473, counterWh: 0.00083578 },
  { step: "4", rows: 121, durationS: 7158, counterAh: 0.0001982, counterWh: 0.00001205 },
  { step: "6", rows: 129, durationS: 7650, counterAh: 0.00010548, counterWh: 0.00000606 },
  { step: "8", rows: 1027, durationS: 61_499, counterAh: 0.00424668, counterWh: 0.00172649 },
] as const;
/** The counters' last place. */
const PLACE = 1e-8;

type Row = { step: string; s: number; a: number; v: number; counterAh: number; counterWh: number };

describe.skipIf(missing)("a cell's charge and energy against its cycler's counters", () => {
  const rows = missing ? [] : cyclerRows(readFileSync(paths[FILE], "utf8"));
  const stepRows = (step: string) => rows.filter((row) => row.step === step);

  it.each(STEPS)("holds the file's step $step: rows, duration and counters", (one) => {
    const part = stepRows(one.step);
    const last = part[part.length - 1];
    expect([part.length, last.s - part[0].s]).toEqual([one.rows, one.durationS]);
    expect([last.counterAh, last.counterWh]).toEqual([one.counterAh, one.counterWh]);
  });

  it.each([STEPS[0], STEPS[3]])("counts the charge of step $step within 1e-4, sample by sample", (one) => {
    const found = batteryThrough(pointwise(stepRows(one.step)), "charge");
    expect(Math.abs(relative(found, one.counterAh))).toBeLessThan(1e-4);
  });

  it.each([
    [STEPS[0], 0.0016389],
    [STEPS[3], -0.0010876],
  ] as const)(
    "counts the energy of step $step within 2e-3, sample by sample, off to the side that the voltage moves to",
    (one, off) => {
      const found = batteryThrough(pointwise(stepRows(one.step)), "energy");
      expect(Math.abs(relative(found, one.counterWh))).toBeLessThan(2e-3);
      // Off by as much as holding each row's A · V by hand is, in Python: sum(w[i] * (t[i + 1] - t[i])) / 3600.
      expect(relative(found, one.counterWh)).toBeCloseTo(off, 6);
    },
  );

  it.each([STEPS[0], STEPS[3]])(
    "counts charge and energy of step $step within 1e-4 from interval means",
    (one) => {
      const part = stepRows(one.step);
      expect(Math.abs(relative(batteryThrough(intervalMeans(part), "energy"), one.counterWh))).toBeLessThan(
        1e-4,
      );
      expect(Math.abs(relative(batteryThrough(intervalMeans(part), "charge"), one.counterAh))).toBeLessThan(
        1e-4,
      );
    },
  );

  it.each([STEPS[1], STEPS[2]])("counts the short step $step within the counters' last place", (one) => {
    const part = intervalMeans(stepRows(one.step));
    // Three and four digits are all that these counters show.
    expect(Math.abs(batteryThrough(part, "energy") - one.counterWh)).toBeLessThan(PLACE);
    expect(Math.abs(batteryThrough(part, "charge") - one.counterAh)).toBeLessThan(2 * PLACE);
  });

  it("counts the whole cycle in one go, rests and all: 4.36841 mAh out, 4.24668 mAh in", () => {
    // A step's last row and the next one's first have the same time: the later one says how it goes on.
    const cycle = rows.filter((row, i) => rows[i + 1]?.s !== row.s);
    expect(rows.length).toBe(2355);
    expect(rows.length - cycle.length).toBe(7);
    const { total } = review(seriesOf(cycle.map((row) => sampleOf(row.s, row.a, 1))));
    const outAh = total.batteryToLoadWh;
    const inAh = total.gridToBatteryWh;
    expect(Math.abs(relative(outAh, 0.00436841))).toBeLessThan(1e-4);
    expect(Math.abs(relative(inAh, 0.00424668))).toBeLessThan(1e-4);
    expect(inAh / outAh).toBeCloseTo(0.97213, 4);
    expect(total.lossesWh).toBeCloseTo(0, 12);
    expect(total.unattributedWh).toBeCloseTo(0, 12);
  });
});

function relative(found: number, counter: number): number {
  return found / counter - 1;
}

/** Ah or Wh through the battery by the review: batteryA · batteryV, with the load or the grid to match. */
function batteryThrough(
  points: readonly { s: number; a: number; w: number }[],
  of: "charge" | "energy",
): number {
  const { total, coverage } = review(
    seriesOf(points.map(({ s, a, w }) => sampleOf(s, a, of === "charge" || a === 0 ? 1 : w / a))),
  );
  expect(coverage.gaps).toEqual([]);
  return total.batteryToLoadWh + total.gridToBatteryWh;
}

/** A sample in which all that is discharged goes to the load and all that is charged comes from the grid. */
function sampleOf(s: number, dischargeA: number, batteryV: number): Sample {
  const batteryW = Math.fround(dischargeA) * Math.fround(batteryV);
  return {
    s,
    batteryA: dischargeA,
    batteryV,
    loadW: Math.max(0, batteryW),
    gridW: Math.max(0, -batteryW),
    source: "inverter",
  };
}

/** Each row as it stands; the last one only ends the step. */
function pointwise(part: readonly Row[]): { s: number; a: number; w: number }[] {
  return part.map(({ s, a, v }, i) => (i < part.length - 1 ? { s, a, w: a * v } : { s, a: 0, w: 0 }));
}

/** Mean current and power of each interval, of its two ends. */
function intervalMeans(part: readonly Row[]): { s: number; a: number; w: number }[] {
  return part.map(({ s, a, v }, i) => {
    const next = part[i + 1];
    return next === undefined
      ? { s, a: 0, w: 0 }
      : { s, a: (a + next.a) / 2, w: (a * v + next.a * next.v) / 2 };
  });
}

/** Rows of the cycler; it counts charging as positive, discharging is positive here. */
function cyclerRows(text: string): Row[] {
  const [header, ...lines] = text.trim().split(/\r?\n/);
  const names = header.split(",");
  const columns = ["Step Index", "Cumulative Time", "Current(A)", "Voltage(V)", "Capacity(Ah)", "Energy(Wh)"];
  const [step, elapsed, current, voltage, charge, energy] = columns.map((name) => {
    const at = names.indexOf(name);
    if (at < 0) throw new Error(`The cycler's file has no column "${name}".`);
    return at;
  });
  return lines.map((line) => {
    const cells = line.split(",");
    const [hours, minutes, seconds] = cells[elapsed].split(":").map(Number);
    return {
      step: cells[step],
      s: hours * 3600 + minutes * 60 + seconds,
      a: -Number(cells[current]),
      v: Number(cells[voltage]),
      counterAh: Number(cells[charge]),
      counterWh: Number(cells[energy]),
    };
  });
}
