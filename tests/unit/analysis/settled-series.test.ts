import { expect, test } from "vitest";
import { SOURCE_CODE, SOURCES } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { settledSeries } from "../../../src/analysis/settled-series";
import { RATINGS, type Sample, seriesOf } from "./samples";

// What is derived, and from what: definitions D2.

const settled = (samples: readonly Sample[], nominalMs: number | null = 1000) =>
  settledSeries(seriesOf(samples), nominalMs, RATINGS, DEFAULT_SETTINGS);
const seconds = (count: number, of: (s: number) => Omit<Sample, "s">): Sample[] =>
  Array.from({ length: count }, (_, s) => ({ s, ...of(s) }));

test("no samples give no rows", () => {
  const { timesMs, channels } = settled([]);
  expect(timesMs).toHaveLength(0);
  expect(channels).toEqual({});
});

test("legs are volts times amperes where their power isn't measured, 120 V where no volts are", () => {
  const { channels } = settled([
    { s: 0, loadL1A: 10, loadL2A: 5, loadL1V: 118 },
    { s: 1, loadL1A: 10, loadL2A: 5 },
  ]);
  expect([...channels.loadL1W!]).toEqual([1180, 1200]);
  expect([...channels.loadL2W!]).toEqual([600, 600]);
  expect([...channels.loadW!]).toEqual([1780, 1800]);
});

test("a leg is the total less the other", () => {
  const { channels } = settled([{ s: 0, loadL1W: 700, loadW: 1000 }]);
  expect([...channels.loadL2W!]).toEqual([300]);
});

test("sun is the sum of its strings, grid that of its legs", () => {
  const { channels } = settled([{ s: 0, loadW: 1, solar1W: 500, solar2W: 250, gridL1W: 100, gridL2W: -40 }]);
  expect([...channels.solarW!]).toEqual([750]);
  expect([...channels.gridW!]).toEqual([60]);
});

test("of a total alone no leg is made up, and what isn't in the log stays absent", () => {
  const { channels, sources } = settled([{ s: 0, loadW: 1000 }]);
  expect(Object.keys(channels)).toEqual(["loadW"]);
  expect(sources).toBeNull();
});

test("the source comes from the grid's power where the log has none, and unknown between equal ones takes theirs", () => {
  const derived = settled(seconds(3, (s) => ({ loadW: 4000, gridW: s < 2 ? 0 : 4000 })));
  expect([...derived.sources!].map((code) => SOURCES[code])).toEqual(["inverter", "inverter", "utility"]);
  const filled = settled(seconds(3, (s) => ({ loadW: 1, source: s === 1 ? "unknown" : "inverter" })));
  expect([...filled.sources!]).toEqual([SOURCE_CODE.inverter, SOURCE_CODE.inverter, SOURCE_CODE.inverter]);
});

test("a sample stands until the next one, before a gap for the interval", () => {
  const { holdS, gapAfter } = settled([
    { s: 0, loadW: 1 },
    { s: 2, loadW: 1 },
    { s: 60, loadW: 1 },
  ]);
  expect([...holdS]).toEqual([2, 1, 1]);
  expect(gapAfter[0]).toBe(0);
  expect(gapAfter[1]).toBe(1);
});

test("the columns given are not changed", () => {
  const series = seriesOf(
    seconds(3, (s) => ({ loadL1W: s, loadL2A: 1, source: s === 1 ? "unknown" : "inverter" })),
  );
  const before = structuredClone(series);
  settledSeries(series, 1000, RATINGS, DEFAULT_SETTINGS);
  expect(series).toEqual(before);
});
