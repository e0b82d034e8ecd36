import { expect, it } from "vitest";
import { decimalsOf } from "../../../../app/_format/decimals-of";
import { dayValues } from "../../../../app/_tables/day-values";
import { samplesTable } from "../../../../app/_tables/samples";
import { toCsv } from "../../../../app/_tables/to-csv";
import type { SiteStretch } from "../../../../db/queries/stretch-of-site";
import { type Series, SOURCE_CODE } from "../../../../src/analysis/series";

/* Common practice, no source. */

/** 14 May, 19:11 and 19:12 in Denver. */
const TIMES = Float64Array.of(Date.UTC(2026, 4, 15, 1, 11), Date.UTC(2026, 4, 15, 1, 12));

const SERIES: Series = {
  timesMs: TIMES,
  channels: {
    loadL1W: Float32Array.of(3060, 3780),
    batteryV: Float32Array.of(52.78, 52.1),
    batterySocPct: Float32Array.of(82.6, Number.NaN),
    frequencyHz: Float32Array.of(Number.NaN, Number.NaN),
  },
  sources: Uint8Array.of(SOURCE_CODE.inverter, SOURCE_CODE.utility),
  faults: Uint16Array.of(0, 1),
};

const table = samplesTable(SERIES, [{ code: "E3", meaning: null }], "America/Denver");

it("heads the samples with the words and units of the day's table, and the file with the channels", () => {
  expect(table.columns.map(({ title, unit, unitShown }) => [title, unitShown ? unit : ""])).toEqual([
    ["Time", ""],
    ["L1", "W"],
    ["Battery", "V"],
    ["SOC", "%"],
    ["Source", ""],
    ["Fault code", ""],
  ]);
  const values = Float64Array.of(1, 2);
  const column = { mean: values, min: values, max: values };
  const stretch: SiteStretch = {
    fromMs: TIMES[0],
    toMs: TIMES[1] + 60_000,
    kind: "samples",
    timesMs: TIMES,
    holdS: Float64Array.of(60, 60),
    channels: { loadL1W: column, batterySocPct: column },
    sources: null,
    nominalS: 60,
    cut: false,
  };
  const day = dayValues(stretch, "America/Denver").columns.map(({ title, unit, unitShown }) => [
    title,
    unitShown ? unit : "",
  ]);
  expect(day).toEqual([
    ["Time", ""],
    ["L1", "W"],
    ["SOC", "%"],
  ]);
  expect(toCsv(table)).toBe(
    [
      "Time,loadL1W,batteryV,batterySocPct,source,faultCode",
      "2026-05-14T19:11:00-06:00,3060,52.78,82.6,inverter,",
      "2026-05-14T19:12:00-06:00,3780,52.1,,utility,E3",
      "",
    ].join("\r\n"),
  );
});

it("shows the decimals that the log has", () => {
  expect(table.columns.map(({ text }) => text(0))).toEqual([
    "19:11:00",
    "3,060",
    "52.78",
    "82.6",
    "On inverter",
    "",
  ]);
  expect(decimalsOf(Float32Array.of(1, 2))).toBe(0);
  expect(decimalsOf(Float32Array.of(119.8, Number.NaN, 120))).toBe(1);
  expect(decimalsOf(Float32Array.of(1 / 3))).toBeNull();
  expect(decimalsOf(Float32Array.of(Number.NaN))).toBeNull();
});
