import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import type { Ratings } from "../../src/analysis/ratings";
import type { DayResult, EnergyShares, ReviewResult } from "../../src/analysis/results";
import type { Series } from "../../src/analysis/series";
import { review } from "../unit/analysis/samples";
import { openData } from "./open-data";

/**
 * Open Power System Data, Household Data (CC BY 4.0; ISC Konstanz, CoSSMic project), household "residential4":
 * cumulative readings of calibrated meters, hourly, 2015-10-11 to 2017-02-09, in Europe/Berlin. The first and
 * last readings are the publisher's figures. The others were recomputed from them with pandas, apart from this
 * project's code (checks.md, B.1); kWh.
 *
 * The review is handed mean powers between successive complete rows. Meter readings keep the energy of a gap,
 * mean powers held for one nominal interval don't: what the review must leave out is reckoned here from the file.
 */
const FILE = "opsd-household/household_data_60min_singleindex_residential4.csv";
const { paths, missing } = openData(FILE);

const HOUR_MS = 3_600_000;
/** Definitions D1: a difference over three nominal intervals is a gap, before which a sample stands for one. */
const GAP_H = 3;

/** A complete row. */
type Reading = { atMs: number; exportKwh: number; importKwh: number; solarKwh: number };
/** Energy between two complete rows. */
type Stretch = { fromMs: number; hours: number; exportKwh: number; importKwh: number; solarKwh: number };

const RATINGS: Ratings = {
  from: "2015-01-01",
  legLimitW: 10_000,
  totalLimitW: 20_000,
  legLimitVa: 10_000,
  totalLimitVa: 20_000,
  legNominalV: 120,
  overload: [],
  derate: [],
  hundredPercentRated: [],
  battery: {},
};

describe.skipIf(missing)("a household's meters over 16 months", { timeout: 60_000 }, () => {
  let readings: Reading[];
  let stretches: Stretch[];
  let berlin: ReviewResult;
  let berlinImport: ReviewResult;
  let berlinExport: ReviewResult;
  // Not at collection: where the file is missing, these tests are skipped.
  beforeAll(() => {
    readings = completeRows(readFileSync(paths[FILE], "utf8"));
    stretches = readings.slice(1).map((row, i) => {
      const before = readings[i];
      return {
        fromMs: before.atMs,
        hours: (row.atMs - before.atMs) / HOUR_MS,
        exportKwh: row.exportKwh - before.exportKwh,
        importKwh: row.importKwh - before.importKwh,
        solarKwh: row.solarKwh - before.solarKwh,
      };
    });
    berlin = run(stretches, "Europe/Berlin", household);
    berlinImport = run(stretches, "Europe/Berlin", importOnly);
    berlinExport = run(stretches, "Europe/Berlin", exportOnly);
  });
  const loadKwh = (one: Stretch) => one.solarKwh - one.exportKwh + one.importKwh;
  const run = (parts: readonly Stretch[], zone: string, channels: (one: Stretch) => Powers) =>
    review(seriesOfStretches(parts, channels), { zone, ratings: [RATINGS] });
  const household = (one: Stretch): Powers => ({
    loadW: loadKwh(one),
    solarW: one.solarKwh,
    gridW: one.importKwh - one.exportKwh,
  });
  // Within an hour the grid meter's two registers both count; each of them by itself is a log of its own.
  const importOnly = (one: Stretch): Powers => ({ loadW: one.importKwh, gridW: one.importKwh });
  const exportOnly = (one: Stretch): Powers => ({
    loadW: 0,
    solarW: one.exportKwh,
    gridW: -one.exportKwh,
  });
  /** kWh of a quantity between two instants as holds carry it: a gap's mean power for one hour only. */
  function heldKwh(of: (one: Stretch) => number, fromMs = 0, toMs = Number.POSITIVE_INFINITY): number {
    let sum = 0;
    for (const one of stretches) {
      const heldH = one.hours > GAP_H ? 1 : one.hours;
      const overlapMs = Math.min(one.fromMs + heldH * HOUR_MS, toMs) - Math.max(one.fromMs, fromMs);
      if (overlapMs > 0) sum += (of(one) / one.hours) * (overlapMs / HOUR_MS);
    }
    return sum;
  }
  /** kWh that the meters counted in gaps and that no hold carries. */
  function leftOutKwh(of: (one: Stretch) => number, fromMs: number, toMs: number): number {
    let sum = 0;
    for (const one of stretches) {
      if (one.hours > GAP_H && one.fromMs >= fromMs && one.fromMs < toMs)
        sum += of(one) * (1 - 1 / one.hours);
    }
    return sum;
  }
  const exportOf = (one: Stretch) => one.exportKwh;
  const importOf = (one: Stretch) => one.importKwh;
  const solarOf = (one: Stretch) => one.solarKwh;

  it("begins and ends with the publisher's readings, and their differences are the totals", () => {
    expect(readings.length).toBe(11_524);
    expect(readings[0]).toEqual({
      atMs: Date.UTC(2015, 9, 11, 19),
      exportKwh: 0,
      importKwh: 0.077,
      solarKwh: 0,
    });
    expect(readings[readings.length - 1]).toEqual({
      atMs: Date.UTC(2017, 1, 9, 11),
      exportKwh: 9563.098,
      importKwh: 6321.393,
      solarKwh: 12_336.971,
    });
    const all = [0, Number.POSITIVE_INFINITY] as const;
    const total = (of: (one: Stretch) => number) => heldKwh(of) + leftOutKwh(of, ...all);
    expect(total(loadKwh)).toBeCloseTo(9095.189, 6);
    expect(total(importOf)).toBeCloseTo(6321.316, 6);
  });

  it("finds the nine gaps over three hours, the longest of 54 hours from 2016-04-22 15:00 UTC", () => {
    const expected = stretches
      .filter((one) => one.hours > GAP_H)
      .map((one) => ({ fromMs: one.fromMs + HOUR_MS, toMs: one.fromMs + one.hours * HOUR_MS }));
    expect(expected.length).toBe(9);
    expect(berlin.coverage.gaps).toEqual(expected);
    expect(berlin.coverage.samples).toBe(11_523);
    expect(berlin.coverage.nominalS).toBe(3600);
    const longest = berlin.coverage.gaps.reduce((a, b) => (b.toMs - b.fromMs > a.toMs - a.fromMs ? b : a));
    expect(longest).toEqual({
      fromMs: Date.UTC(2016, 3, 22, 15),
      toMs: Date.UTC(2016, 3, 24, 21),
    });
    const goneMs = expected.reduce((sum, gap) => sum + gap.toMs - gap.fromMs, 0);
    expect(berlin.coverage.heldS).toBe(
      (Date.UTC(2017, 1, 9, 11) - Date.UTC(2015, 9, 11, 19) - goneMs) / 1000,
    );
  });

  it("leaves out what the meters counted in the gaps, and nothing else", () => {
    const all = [0, Number.POSITIVE_INFINITY] as const;
    const rows = [
      // [reviewed Wh, quantity, kWh by the meters]
      [berlin.total.solarWh, solarOf, 12_336.971],
      [berlin.total.loadWh + berlin.total.lossesWh, loadKwh, 9095.189],
      [berlinImport.total.gridToLoadWh, importOf, 6321.316],
      [berlinExport.total.solarToGridWh, exportOf, 9563.098],
    ] as const;
    for (const [wh, of, meteredKwh] of rows) {
      expect(wh / 1000).toBeCloseTo(heldKwh(of), 3);
      expect(wh / 1000).toBeCloseTo(meteredKwh - leftOutKwh(of, ...all), 3);
      expect(wh / 1000).toBeLessThan(meteredKwh);
    }
    // The row after the longest gap alone: 83.174 kWh of sun in 55 hours, of which one is held.
    const longest = stretches.find((one) => one.hours === 55) as Stretch;
    expect(longest.solarKwh).toBeCloseTo(83.174, 9);
    expect(longest.exportKwh).toBeCloseTo(65.023, 9);
    expect(longest.importKwh).toBeCloseTo(17.14, 9);
  });

  it("shows no energy on the day in the longest gap, and no hour of 83 kW after it", () => {
    expect(berlin.days.map((day) => day.date)).not.toContain("2016-04-23");
    const before = dayOf(berlin.days, "2016-04-22");
    const after = dayOf(berlin.days, "2016-04-24");
    // Until 17:00 local, and from 23:00.
    expect([before.heldS, after.heldS]).toEqual([17 * 3600, 3600]);
    expect(before.shares.solarWh / 1000).toBeCloseTo(heldKwh(solarOf, before.fromMs, before.toMs), 3);
    // Greatest mean of an hour in the whole log, by the file.
    const peakW = Math.max(...stretches.map((one) => (1000 * loadKwh(one)) / one.hours));
    expect(peakW).toBeLessThan(20_000);
    expect(berlin.figures.demand?.peakW).toBeCloseTo(peakW, 2);
  });

  it.each([
    ["2015-10-25", 25, 27.941, 19.559, 5.197],
    ["2016-03-27", 23, 20.98, 13.17, 11.005],
    ["2016-10-30", 25, 36.951, 25.389, 10.593],
    ["2016-06-21", 24, 28.4, 24.161, 2.12],
  ])("gives the local day %s of %d hours its energies", (date, hours, solarKwh, exportKwh, importKwh) => {
    const day = dayOf(berlin.days, date);
    expect((day.toMs - day.fromMs) / HOUR_MS).toBe(hours);
    expect([day.samples, day.heldS]).toEqual([hours, hours * 3600]);
    expect(day.shares.solarWh / 1000).toBeCloseTo(solarKwh, 6);
    expect(dayOf(berlinExport.days, date).shares.solarToGridWh / 1000).toBeCloseTo(exportKwh, 6);
    expect(dayOf(berlinImport.days, date).shares.gridToLoadWh / 1000).toBeCloseTo(importKwh, 6);
    expect(day.shares.loadWh / 1000).toBeCloseTo(solarKwh - exportKwh + importKwh, 6);
  });

  it.each([
    ["2016-03", 743, 904.56, 633.08, 406.405, 677.885, 0.4005],
    ["2016-06", 720, 1359.5, 1134.91, 92.47, 317.06, 0.7084],
    ["2016-10", 745, 681.629, 496.789, 270.444, 455.284, 0.406],
    ["2016-12", 744, 340.801, 178.449, 776.537, 938.889, 0.1729],
  ])(
    "gives the local month %s of %d hours its energies, less those in its gaps",
    (month, hours, ...metered) => {
      const [solarKwh, exportKwh, importKwh, loadOfMonthKwh, selfSufficiency] = metered;
      const days = berlin.days.filter((day) => day.date.startsWith(month));
      const fromMs = days[0].fromMs;
      const toMs = days[days.length - 1].toMs;
      expect((toMs - fromMs) / HOUR_MS).toBe(hours);
      const out = (of: (one: Stretch) => number) => leftOutKwh(of, fromMs, toMs);
      const sum = (list: readonly DayResult[], key: keyof EnergyShares) =>
        list.filter((day) => day.date.startsWith(month)).reduce((total, day) => total + day.shares[key], 0) /
        1000;
      const gotSolar = sum(berlin.days, "solarWh");
      const gotExport = sum(berlinExport.days, "solarToGridWh");
      const gotImport = sum(berlinImport.days, "gridToLoadWh");
      // A load that the meters make negative is 0 in the shares, and stands in the losses.
      const gotLoad = sum(berlin.days, "loadWh") + sum(berlin.days, "lossesWh");
      expect(gotSolar).toBeCloseTo(solarKwh - out(solarOf), 3);
      expect(gotExport).toBeCloseTo(exportKwh - out(exportOf), 3);
      expect(gotImport).toBeCloseTo(importKwh - out(importOf), 3);
      expect(gotLoad).toBeCloseTo(loadOfMonthKwh - out(loadKwh), 3);
      const back = (got: number, of: (one: Stretch) => number) => got + out(of);
      expect((back(gotSolar, solarOf) - back(gotExport, exportOf)) / back(gotLoad, loadKwh)).toBeCloseTo(
        selfSufficiency,
        4,
      );
      if (month === "2016-03" || month === "2016-06") expect(out(loadKwh)).toBe(0);
    },
  );

  it("gives the year 2016 another import by Berlin's midnights than by UTC's", () => {
    const yearOf = (days: readonly DayResult[], key: keyof EnergyShares) =>
      days.filter((day) => day.date.startsWith("2016")).reduce((sum, day) => sum + day.shares[key] / 1000, 0);
    const gapsOf = (of: (one: Stretch) => number) =>
      leftOutKwh(of, Date.UTC(2016, 0, 1), Date.UTC(2017, 0, 1));
    const utcImport = run(stretches, "UTC", importOnly);
    const utcExport = run(stretches, "UTC", exportOnly);
    const utc = run(stretches, "UTC", household);
    expect(yearOf(utcImport.days, "gridToLoadWh")).toBeCloseTo(3919.394 - gapsOf(importOf), 3);
    expect(yearOf(berlinImport.days, "gridToLoadWh")).toBeCloseTo(3919.354 - gapsOf(importOf), 3);
    for (const [days, of] of [
      [utc.days, solarOf],
      [berlin.days, solarOf],
    ] as const) {
      expect(yearOf(days, "solarWh")).toBeCloseTo(11_000.981 - gapsOf(of), 3);
    }
    expect(yearOf(utcExport.days, "solarToGridWh")).toBeCloseTo(8730.949 - gapsOf(exportOf), 3);
    expect(yearOf(berlinExport.days, "solarToGridWh")).toBeCloseTo(8730.949 - gapsOf(exportOf), 3);
  });

  it("gives the week without a gap its energies, and its peak load in the hour that ends 2016-06-09 14:00 UTC", () => {
    const fromMs = Date.UTC(2016, 5, 6);
    const week = stretches.filter((one) => one.fromMs >= fromMs && one.fromMs < Date.UTC(2016, 5, 13));
    const found = run(week, "UTC", household);
    expect(found.coverage.ratio).toBe(1);
    expect(found.coverage.samples).toBe(168);
    expect(found.total.solarWh / 1000).toBeCloseTo(316.22, 4);
    expect((found.total.loadWh + found.total.lossesWh) / 1000).toBeCloseTo(89.252, 4);
    expect((found.total.solarToLoadWh + found.total.lossesWh) / 1000).toBeCloseTo(72.032, 4);
    const exportKwh = run(week, "UTC", exportOnly).total.solarToGridWh / 1000;
    expect(exportKwh).toBeCloseTo(249.051, 4);
    expect(run(week, "UTC", importOnly).total.gridToLoadWh / 1000).toBeCloseTo(22.083, 4);
    expect(found.total.solarWh / 1000 - exportKwh).toBeCloseTo(67.169, 4);
    expect(found.figures.demand?.peakW).toBeCloseTo(3042, 2);
    expect(found.figures.demand?.peakAtMs).toBe(Date.UTC(2016, 5, 9, 13));
  });

  it("takes an hour's mean for self-consumption, which can only be more than the meters counted", () => {
    // By the meters' registers SC is 0.2248423 and SS 0.3049824; by hourly means 3237.316 kWh are min(sun, load),
    // with a load that is negative in 11 hours (-1.871 kWh) counted as it is.
    const all = [0, Number.POSITIVE_INFINITY] as const;
    const both = (one: Stretch) => Math.min(one.solarKwh, loadKwh(one));
    const { total } = berlin;
    expect((total.solarToLoadWh + total.lossesWh) / 1000).toBeCloseTo(3237.316 - leftOutKwh(both, ...all), 3);
    const whole = (of: (one: Stretch) => number) => heldKwh(of) + leftOutKwh(of, ...all);
    expect(whole(both) / whole(solarOf)).toBeCloseTo(0.2624077, 6);
    expect(whole(both) / whole(loadKwh)).toBeCloseTo(0.3559372, 6);
    const metered = (one: Stretch) => one.solarKwh - one.exportKwh;
    expect(whole(metered) / whole(solarOf)).toBeCloseTo(0.2248423, 6);
    expect(whole(metered) / whole(loadKwh)).toBeCloseTo(0.3049824, 6);
    const selfConsumption = (total.solarToLoadWh + total.solarToBatteryWh) / total.solarWh;
    // Of the held time alone; the load that was negative is 0 in the shares.
    const clamped = (one: Stretch) => Math.max(0, both(one));
    expect(selfConsumption).toBeCloseTo(heldKwh(clamped) / heldKwh(solarOf), 6);
    expect(selfConsumption).toBeGreaterThan(heldKwh(metered) / heldKwh(solarOf));
    expect(total.unattributedWh).toBeCloseTo(0, 2);
    expect(
      total.solarToLoadWh + total.gridToLoadWh + total.batteryToLoadWh + total.unattributedWh,
    ).toBeCloseTo(total.loadWh, 2);
  });

  it("keeps the 11 hours of negative load in the losses, and notes them where legs are known", () => {
    const negative = stretches.filter((one) => loadKwh(one) < -1e-9);
    expect(negative.length).toBe(11);
    expect(Math.min(...negative.map(loadKwh))).toBeCloseTo(-1.128, 6);
    expect(berlin.total.lossesWh / 1000).toBeCloseTo(
      heldKwh((one) => Math.min(0, loadKwh(one))),
      4,
    );
    const halves = run(stretches, "Europe/Berlin", (one) => {
      const { loadW = 0, ...others } = household(one);
      return { ...others, loadL1W: loadW / 2, loadL2W: loadW / 2 };
    });
    expect(halves.notes).toContainEqual({ code: "negative-load", figures: { samples: 11 } });
    expect(halves.total.lossesWh).toBeCloseTo(berlin.total.lossesWh, 2);
  });

  it("says that meters disagree on no day, and with the grid meter's sign turned on each day that it must", () => {
    expect(berlin.notes.map((note) => note.code)).not.toContain("meters-disagree");
    const turned = run(stretches, "Europe/Berlin", (one) => ({
      ...household(one),
      gridW: one.exportKwh - one.importKwh,
    }));
    const expected = berlin.days
      .filter((day) => {
        const kwh = (of: (one: Stretch) => number) => heldKwh(of, day.fromMs, day.toMs);
        const net = (one: Stretch) => one.exportKwh - one.importKwh;
        const supplied = kwh(solarOf) + kwh((one) => Math.max(0, net(one)));
        const losses = kwh(solarOf) + kwh(net) - kwh((one) => Math.max(0, loadKwh(one)));
        return supplied > 0 && Math.abs(losses) > 0.15 * supplied;
      })
      .map((day) => day.date);
    expect(expected.length).toBeGreaterThan(400);
    const noted = turned.notes.filter((note) => note.code === "meters-disagree");
    expect(noted.map((note) => note.figures.date)).toEqual(expected);
  });
});

/** Rows in which the export, import and solar meters all have a reading. */
function completeRows(text: string): Reading[] {
  const [header, ...lines] = text.trim().split("\n");
  const names = header.split(",");
  const column = (name: string) => {
    const at = names.indexOf(`DE_KN_residential4_${name}`);
    if (at < 0) throw new Error(`The household's file has no column "${name}".`);
    return at;
  };
  const [exported, imported, solar] = ["grid_export", "grid_import", "pv"].map(column);
  return lines
    .map((line) => line.split(","))
    .filter((cells) => cells[exported] !== "" && cells[imported] !== "" && cells[solar] !== "")
    .map((cells) => ({
      atMs: Date.parse(cells[0]),
      exportKwh: Number(cells[exported]),
      importKwh: Number(cells[imported]),
      solarKwh: Number(cells[solar]),
    }));
}

/** kWh of a stretch by channel; they become mean powers in W. */
type Powers = { [C in "loadW" | "loadL1W" | "loadL2W" | "solarW" | "gridW"]?: number };

function seriesOfStretches(parts: readonly Stretch[], channels: (one: Stretch) => Powers): Series {
  const powers = parts.map(channels);
  const names = Object.keys(powers[0]) as (keyof Powers)[];
  return {
    timesMs: Float64Array.from(parts, (one) => one.fromMs),
    channels: Object.fromEntries(
      names.map((name) => [
        name,
        Float32Array.from(powers, (one, i) => (1000 * (one[name] ?? Number.NaN)) / parts[i].hours),
      ]),
    ),
    sources: null,
    faults: null,
  };
}

function dayOf(days: readonly DayResult[], date: string): DayResult {
  const day = days.find((one) => one.date === date);
  if (day === undefined) throw new Error(`The review has no day ${date}.`);
  return day;
}
