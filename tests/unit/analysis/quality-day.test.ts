import { expect, test } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";
import type { Minutes } from "../../../src/analysis/minutes";
import { qualityDay } from "../../../src/analysis/quality-day";
import { qualityOfPeriod } from "../../../src/analysis/quality-of-period";
import type { Ratings } from "../../../src/analysis/ratings";
import type { NumericChannel } from "../../../src/analysis/series";

const CLOCK = createLocalClock("America/Denver");
const DAY_START = Date.UTC(2026, 4, 14, 6);
const DAY = 1440;

const RATINGS: Ratings = {
  from: "2026-01-01",
  legLimitW: 4000,
  totalLimitW: 8000,
  legLimitVa: 4000,
  totalLimitVa: 8000,
  legNominalV: 120,
  overload: [],
  derate: [],
  hundredPercentRated: [],
  passThroughA: 60,
  solarPeakW: 7200,
  battery: { nominalV: 51.2, capacityAh: 400, maxDischargeA: 200, maxChargeA: 120, surgeA: 300 },
};

/** Minutes that follow one another from the day's beginning; each channel's value by its minute. */
function minutesOf(
  channels: Partial<Record<NumericChannel, (minute: number) => number>>,
  count = DAY,
  startMs = DAY_START,
): Minutes {
  const column = (value: (minute: number) => number) => {
    const values = Float32Array.from({ length: count }, (_, at) => value(at));
    return { mean: values, min: values, max: values };
  };
  return {
    minuteMs: Float64Array.from({ length: count }, (_, at) => startMs + at * 60_000),
    samples: new Int32Array(count).fill(1),
    heldS: new Float32Array(count).fill(60),
    channels: Object.fromEntries(Object.entries(channels).map(([name, value]) => [name, column(value)])),
  };
}

const busy = (minute: number) => 800 + ((minute * 37) % 101);

function dayOf(minutes: Minutes) {
  return qualityDay(minutes, null, RATINGS, CLOCK, 0, minutes.minuteMs.length);
}

test("a day on which everything moves has nothing to tell", () => {
  const day = dayOf(
    minutesOf({ loadL1W: busy, loadL2W: (at) => busy(at + 50), loadW: (at) => busy(at) + busy(at + 50) }),
  );
  const period = qualityOfPeriod([day]);
  expect(period.frozen).toEqual([]);
  expect(day.jumpCount).toBe(0);
  expect(day.meters).toEqual([
    { what: "legs-total", oneWh: expect.any(Number), otherWh: expect.any(Number), share: 0 },
  ]);
  expect(day.coveredS).toEqual({ loadL1W: 86_400, loadL2W: 86_400, loadW: 86_400 });
});

test("a leg that stands at one value for four hours while the other moves has hung", () => {
  const minutes = minutesOf({ loadL1W: (at) => (at >= 600 && at < 840 ? 912 : busy(at)), loadL2W: busy });
  const { frozen } = qualityOfPeriod([dayOf(minutes)]);
  expect(frozen).toHaveLength(1);
  expect(frozen[0]).toMatchObject({
    channel: "loadL1W",
    value: 912,
    fromMs: DAY_START + 600 * 60_000,
    toMs: DAY_START + 840 * 60_000,
  });
});

test("zero is no hung sensor, nor is a rest in which nothing else moves, nor two hours", () => {
  const night = (at: number) => (at < 600 ? 0 : busy(at));
  expect(qualityOfPeriod([dayOf(minutesOf({ solarW: night, loadW: busy }))]).frozen).toEqual([]);
  const rest = (at: number) => (at < 600 ? 300 : busy(at));
  expect(qualityOfPeriod([dayOf(minutesOf({ loadL1W: rest, loadL2W: rest }))]).frozen).toEqual([]);
  const short = (at: number) => (at >= 600 && at < 720 ? 912 : busy(at));
  expect(qualityOfPeriod([dayOf(minutesOf({ loadL1W: short, loadL2W: busy }))]).frozen).toEqual([]);
});

test("a value that seldom moves is not frozen where it rests for hours", () => {
  // One change in thirty minutes: six hours without one are chance.
  const slow = (at: number) => 30 + (Math.floor(at / 30) % 5);
  const minutes = minutesOf({ inverterTempC: (at) => (at >= 600 && at < 960 ? 31 : slow(at)), loadW: busy });
  expect(qualityOfPeriod([dayOf(minutes)]).frozen).toEqual([]);
});

test("a rest over midnight is one", () => {
  const value = (at: number) => (at >= 1320 && at < 1560 ? 777 : busy(at));
  const all = minutesOf({ loadL1W: value, loadL2W: busy }, 2 * DAY);
  const days = [0, DAY].map((from) => qualityDay(all, null, RATINGS, CLOCK, from, from + DAY));
  expect(days.map((day) => day.date)).toEqual(["2026-05-14", "2026-05-15"]);
  const { frozen } = qualityOfPeriod(days);
  expect(frozen.map(({ fromMs, toMs }) => (toMs - fromMs) / 60_000)).toEqual([240]);
});

test("a state of charge that stands still while the battery gives a tenth of its capacity is told", () => {
  // 20.48 kWh; 1.2 kW over two hours are 2.4 kWh.
  const minutes = minutesOf({
    batterySocPct: (at) => (at < 600 || at >= 720 ? 80 - at / 100 : 70),
    batteryW: () => 1200,
  });
  const day = dayOf(minutes);
  expect(day.restingSoc).toHaveLength(1);
  expect(day.restingSoc[0].socPct).toBe(70);
  expect(day.restingSoc[0].netWh).toBeCloseTo(2400, 6);
  const idle = dayOf(minutesOf({ batterySocPct: () => 70, batteryW: () => 20 }));
  expect(idle.restingSoc).toEqual([]);
  const full = dayOf(minutesOf({ batterySocPct: () => 100, batteryW: () => -500 }));
  expect(full.restingSoc).toEqual([]);
});

test("a leap of the state of charge is told with its limit, one of five points is not", () => {
  // 300 A at 400 Ah move 1.25 points a minute, twice that is under the five that pass in any case.
  const leap = dayOf(minutesOf({ batterySocPct: (at) => (at < 700 ? 62 : 100) }));
  expect(leap.jumps).toEqual([
    { channel: "batterySocPct", atMs: DAY_START + 700 * 60_000, from: 62, to: 100, limit: 5 },
  ]);
  expect(dayOf(minutesOf({ batterySocPct: (at) => (at < 700 ? 62 : 67) })).jumps).toEqual([]);
  const down = dayOf(minutesOf({ batterySocPct: (at) => (at < 700 ? 62 : 12) }));
  expect(down.jumps[0]).toMatchObject({ from: 62, to: 12 });
});

test("a value over twice what the equipment passes is told, and what isn't rated is let pass", () => {
  const spike = (at: number) => (at === 500 ? 15_000 : 900);
  // Twice 60 A · 120 V on a leg.
  expect(dayOf(minutesOf({ loadL1W: spike })).jumps).toEqual([
    { channel: "loadL1W", atMs: DAY_START + 500 * 60_000, from: null, to: 15_000, limit: 14_400 },
  ]);
  const { solarPeakW: _, ...unrated } = RATINGS;
  const bright = minutesOf({ solarW: (at) => (at === 500 ? 90_000 : 900) });
  expect(qualityDay(bright, null, unrated, CLOCK, 0, DAY).jumps).toEqual([]);
  expect(dayOf(bright).jumps).toMatchObject([{ channel: "solarW", limit: 14_400 }]);
});

test("more jumps than are told are counted", () => {
  const day = dayOf(minutesOf({ loadL1W: (at) => (at % 2 === 0 ? 20_000 : 900) }));
  expect(day.jumps).toHaveLength(50);
  expect(day.jumpCount).toBe(720);
});

test("the battery's volts times amperes against its watts: a sign that is wrong is all apart", () => {
  const meters = dayOf(minutesOf({ batteryV: () => 50, batteryA: () => 20, batteryW: () => -1000 })).meters;
  expect(meters).toEqual([{ what: "battery-volt-amperes", oneWh: 24_000, otherWh: -24_000, share: 2 }]);
});

test("missing values are no coverage and no rest", () => {
  const minutes = minutesOf({ loadL1W: (at) => (at < 720 ? Number.NaN : busy(at)), loadL2W: busy });
  const day = dayOf(minutes);
  expect(day.coveredS).toEqual({ loadL1W: 43_200, loadL2W: 86_400 });
  expect(qualityOfPeriod([day]).frozen).toEqual([]);
});

test("no days give no figures", () => {
  expect(qualityOfPeriod([])).toEqual({
    samples: 0,
    heldS: 0,
    coveredS: {},
    frozen: [],
    restingSoc: [],
    jumps: [],
    jumpCount: 0,
    clock: { days: 0, driftMinPerMonth: null, steps: [] },
  });
});
