import { expect, test } from "vitest";
import { clockDrift } from "../../../src/analysis/clock-drift";
import { clockLag } from "../../../src/analysis/clock-lag";
import { equationOfTimeMin } from "../../../src/analysis/equation-of-time";
import type { SunDay } from "../../../src/analysis/sun-middle";

const DAY_MS = 86_400_000;

/** Days whose sun's middle stands where the sun puts it, with an error of the clock in minutes. */
function suns(
  days: number,
  errorMin: (day: number) => number,
  energyWh = (_day: number) => 30_000,
): SunDay[] {
  return Array.from({ length: days }, (_, day) => {
    const noonMs = Date.UTC(2026, 2, 1, 19) + day * DAY_MS;
    return {
      middleMs: noonMs + (errorMin(day) - equationOfTimeMin(noonMs)) * 60_000,
      energyWh: energyWh(day),
    };
  });
}

test("the equation of time is what almanacs print", () => {
  // Extremes and zeros of the year as printed in almanacs to the minute, from memory: +16.4 min on 3 November,
  // −14.2 min on 11 February, nothing on 15 April, 13 June, 1 September and 25 December.
  expect(equationOfTimeMin(Date.UTC(2026, 10, 3, 12))).toBeCloseTo(16.4, 0);
  expect(equationOfTimeMin(Date.UTC(2026, 1, 11, 12))).toBeCloseTo(-14.2, 0);
  for (const [month, day] of [
    [3, 15],
    [5, 13],
    [8, 1],
    [11, 25],
  ]) {
    expect(Math.abs(equationOfTimeMin(Date.UTC(2026, month, day, 12)))).toBeLessThan(0.7);
  }
});

test("a clock that is right shows neither drift nor step, over clouds too", () => {
  const cloudy = clockDrift(suns(60, (day) => ((day * 7919) % 41) - 20));
  expect(cloudy.steps).toEqual([]);
  expect(Math.abs(cloudy.driftMinPerMonth!)).toBeLessThan(5);
});

test("a clock that gains half a minute a day gains fifteen a month", () => {
  expect(clockDrift(suns(40, (day) => 0.5 * day)).driftMinPerMonth).toBeCloseTo(15, 1);
  expect(clockDrift(suns(40, (day) => -0.5 * day)).driftMinPerMonth).toBeCloseTo(-15, 1);
});

test("an hour that was set is one step, at its day, and no drift", () => {
  const { steps, driftMinPerMonth } = clockDrift(suns(60, (day) => (day < 30 ? 0 : 60)));
  expect(steps).toHaveLength(1);
  expect(steps[0].byMin).toBeCloseTo(60, 1);
  expect(Math.round((steps[0].atMs - Date.UTC(2026, 2, 1, 19)) / DAY_MS)).toBe(30);
  expect(driftMinPerMonth).toBeNull();
});

test("dull days don't count, and under twenty there is no drift", () => {
  const found = clockDrift(
    suns(
      40,
      () => 0,
      (day) => (day % 2 === 0 ? 30_000 : 3_000),
    ),
  );
  expect(found.days).toBe(20);
  expect(clockDrift(suns(19, () => 0)).driftMinPerMonth).toBeNull();
  expect(clockDrift([null, null])).toEqual({ days: 0, driftMinPerMonth: null, steps: [] });
});

test("a second logger whose stamps are five minutes later lags by five", () => {
  const load = (at: number) => 500 + 400 * Math.sin(at / 7) + ((at * 7919) % 313);
  const one = Float32Array.from({ length: 600 }, (_, at) => load(at));
  const other = Float32Array.from({ length: 600 }, (_, at) => load(at - 5) * 1.02 + 30);
  expect(clockLag(one, other)?.lagMin).toBe(5);
  expect(clockLag(other, one)?.lagMin).toBe(-5);
  expect(clockLag(one, one)).toBeNull();
  expect(clockLag(one, new Float32Array(600).fill(3))).toBeNull();
  expect(clockLag(new Float32Array(0), new Float32Array(0))).toBeNull();
  expect(() => clockLag(one, new Float32Array(3))).toThrow("clockLag requires equal lengths, got 600 and 3");
});
