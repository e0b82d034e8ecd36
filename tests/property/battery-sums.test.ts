import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addBattery, batteryOf, createBatterySums, mergeBattery } from "../../src/analysis/battery";
import { createBatteryDischargeState } from "../../src/analysis/battery-discharges";
import { channelsPresent } from "../../src/analysis/channels-present";
import { createLocalClock } from "../../src/analysis/local-time";
import type { NumericChannel, Source } from "../../src/analysis/series";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, review, type Sample, START_MS, seriesOf } from "../unit/analysis/samples";

const clock = createLocalClock("America/Denver");
const RATED = { ...RATINGS, battery: { ...RATINGS.battery, maxChargeA: 100, fuseA: 120 } };

const reading = (min: number, max: number) =>
  fc.oneof(
    { weight: 9, arbitrary: fc.double({ min, max, noNaN: true }) },
    { weight: 1, arbitrary: fc.constant(Number.NaN) },
  );
const samples: fc.Arbitrary<Sample[]> = fc
  .array(
    fc.record({
      stepS: fc.constantFrom(60, 60, 600, 1800, 7200),
      loadW: reading(0, 9000),
      solarW: fc.constantFrom(0, 0, 0, 500),
      batteryA: reading(-150, 250),
      batteryV: reading(44, 58),
      batteryW: reading(-8000, 12_000),
      batterySocPct: reading(0, 100),
      source: fc.constantFrom<Source>("inverter", "inverter", "inverter", "utility", "unknown"),
    }),
    { minLength: 1, maxLength: 250 },
  )
  .map((list) => {
    let s = 0;
    return list.map(({ stepS, ...values }) => {
      s += stepS;
      return { s, ...values };
    });
  });

/** The sums of rows `from` to `to`, in slices of so many. */
function sumsOf(
  list: readonly Sample[],
  from: number,
  to: number,
  step: number,
  state = createBatteryDischargeState(),
) {
  const frame = frameOf(list, RATED);
  const names = Object.keys(seriesOf(list).channels) as NumericChannel[];
  const present = channelsPresent(names, true, false);
  const day = { fromMs: START_MS, toMs: START_MS + 86_400_000 };
  const sums = createBatterySums();
  for (let row = from; row < to; row += step) {
    addBattery(frame, state, sums, present, day, RATED, clock, row, Math.min(row + step, to));
  }
  return sums;
}

/** Figures that don't hang on where days are cut: numbers to nine places. */
function figuresOf(battery: ReturnType<typeof batteryOf>) {
  const power = battery?.power ?? null;
  const rounded = {
    current: battery?.current ?? null,
    energy: [power?.heldS, power?.dischargedWh, power?.chargedWh, power?.equivalentFullCycles],
    model: power?.model === null || power === null ? null : [power.model.idleW / 1e3, power.model.efficiency],
    points: power?.points.map(({ acW, dcW, heldS }) => [acW, dcW, heldS]),
    ohm: battery?.resistance?.ohm,
    discharges: battery?.capacity?.discharges.map((one) => [one.drawnAh, one.fromSocPct, one.toSocPct]),
    range: battery?.socByHour?.map(({ hour, leastPct, greatestPct }) => [hour, leastPct, greatestPct]),
  };
  return JSON.parse(
    JSON.stringify(rounded, (_, value) => (typeof value === "number" ? Number(value.toPrecision(9)) : value)),
  );
}

function numbersOf(value: unknown): number[] {
  if (typeof value === "number") return [value];
  return value !== null && typeof value === "object" ? Object.values(value).flatMap(numbersOf) : [];
}

/** The same shape, and numbers that are as near as adding in another order leaves them. */
function expectNear(a: unknown, b: unknown): void {
  const [left, right] = [numbersOf(a), numbersOf(b)];
  expect(left.length).toBe(right.length);
  left.forEach((value, i) => {
    expect(Math.abs(value - right[i])).toBeLessThanOrEqual(1e-6 * Math.max(1, Math.abs(value)));
  });
}

describe("sums of the battery", () => {
  it("are the same to the bit whatever the slices that rows come in", () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 1, max: 60 }), (list, step) => {
        expect(sumsOf(list, 0, list.length, step)).toEqual(sumsOf(list, 0, list.length, list.length));
      }),
    );
  });

  it("add up, part by part, to those of all rows", () => {
    fc.assert(
      fc.property(samples, fc.array(fc.nat({ max: 250 }), { maxLength: 3 }), (list, cuts) => {
        const edges = [0, ...cuts.map((cut) => Math.min(cut, list.length)), list.length].sort(
          (a, b) => a - b,
        );
        const added = createBatterySums();
        const state = createBatteryDischargeState();
        edges.slice(1).forEach((edge, i) => {
          if (edge > edges[i]) mergeBattery(added, sumsOf(list, edges[i], edge, list.length, state));
        });
        mergeBattery(added, createBatterySums());
        mergeBattery(added, undefined);
        expectNear(
          figuresOf(batteryOf(added)),
          figuresOf(batteryOf(sumsOf(list, 0, list.length, list.length))),
        );
      }),
    );
  });

  it("of local days, holds over midnight and all, add up to those of all rows", () => {
    fc.assert(
      fc.property(samples, (list) => {
        const { days, figures } = review(seriesOf(list), { ratings: [RATED] });
        const whole = batteryOf(sumsOf(list, 0, list.length, list.length));
        const { range: _, ...found } = figuresOf(figures.battery);
        const { range: __, ...expected } = figuresOf(whole);
        expectNear(found, expected);
        // Days in two goes are the same to the bit: they stay apart until they are read.
        const [early, late] = [createBatterySums(), createBatterySums()];
        days.forEach((day, i) => {
          mergeBattery(i * 2 < days.length ? early : late, day.sums.battery);
        });
        const both = createBatterySums();
        mergeBattery(both, early);
        mergeBattery(both, late);
        expectNear(figuresOf(batteryOf(both)), figuresOf(figures.battery));
      }),
      { numRuns: 60 },
    );
  });
});
