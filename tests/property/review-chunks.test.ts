import { deserialize, serialize } from "node:v8";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addFound } from "../../src/analysis/found";
import { reviewResult } from "../../src/analysis/review";
import { createReviewPass } from "../../src/analysis/review-pass";
import type { NumericChannel, Source } from "../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../src/analysis/settings";
import { RATINGS, reviewWithState, type Sample, seriesOf, slice } from "../unit/analysis/samples";

const SOURCES: Source[] = ["inverter", "inverter", "inverter", "utility", "unknown", "none", "generator"];
const value = (max: number) =>
  fc.oneof(
    { weight: 12, arbitrary: fc.double({ min: 0, max, noNaN: true }) },
    { weight: 1, arbitrary: fc.constant(Number.NaN) },
  );

/** A log whose stretches of equal state, load and interval are random: gaps, holes, changes of interval. */
const log = fc
  .array(
    fc.record({
      count: fc.integer({ min: 1, max: 160 }),
      intervalS: fc.constantFrom(1, 10, 10, 10, 60),
      gapS: fc.constantFrom(0, 0, 0, 45, 7200),
      source: fc.constantFrom(...SOURCES),
      loadL1W: value(6000),
      loadL2W: value(6000),
      solarW: value(5000),
      batteryA: fc.double({ min: -100, max: 210, noNaN: true }),
      batterySocPct: value(100),
      fault: fc.constantFrom(0, 0, 0, 1, 2),
    }),
    { minLength: 1, maxLength: 25 },
  )
  .map((stretches) => {
    const samples: Sample[] = [];
    let s = 0;
    for (const { count, intervalS, gapS, ...values } of stretches) {
      s += gapS;
      for (let i = 0; i < count; i++) {
        s += intervalS;
        samples.push({ s, batteryV: 52, ...values });
      }
    }
    return samples;
  });

const options = {
  ratings: [
    { ...RATINGS, passThroughA: 40 },
    { ...RATINGS, from: "2026-05-15", legLimitW: 3000 },
  ],
  faultWords: [
    { code: "7", meaning: null },
    { code: "9", meaning: "overload" as const },
  ],
};

describe("a review in chunks", () => {
  it("gives the same results to the bit whatever the chunks", () => {
    fc.assert(
      fc.property(log, fc.integer({ min: 1, max: 700 }), (samples, chunk) => {
        const series = seriesOf(samples);
        const whole = reviewWithState(series, options);
        const cut = reviewWithState(series, { ...options, chunk });
        expect(cut).toEqual(whole);
      }),
      { numRuns: 60 },
    );
  });

  it("goes on from its kept state as if it had never stopped", () => {
    fc.assert(
      fc.property(log, fc.double({ min: 0, max: 1, noNaN: true }), (samples, part) => {
        const series = seriesOf(samples);
        const at = Math.floor(part * samples.length);
        const given = {
          zone: "America/Denver",
          ratings: options.ratings,
          settings: DEFAULT_SETTINGS,
          channels: Object.keys(series.channels) as NumericChannel[],
          hasSource: true,
          hasFault: true,
        };
        const before = createReviewPass(given);
        before.push(slice(series, 0, at));
        const found = before.take();
        // What a database would keep: a copy, read back by another process.
        const after = createReviewPass({ ...given, state: deserialize(serialize(before.keep())) });
        after.push(slice(series, at, samples.length));
        after.end();
        addFound(found, after.take());
        const result = reviewResult(found, given, options.faultWords, after.nominalMs());
        const whole = reviewWithState(series, options).result;
        expect({ ...result, demand: null }).toEqual({ ...whole, demand: null });
      }),
      { numRuns: 40 },
    );
  });

  it("gives the same whether columns come one row at a time", () => {
    fc.assert(
      fc.property(log, (samples) => {
        const series = seriesOf(samples.slice(0, 600));
        expect(reviewWithState(series, { ...options, chunk: 1 })).toEqual(reviewWithState(series, options));
      }),
      { numRuns: 10 },
    );
  });
});

describe("a review's figures", () => {
  it("have shares that add up to the load, and held time that adds up to the coverage", () => {
    fc.assert(
      fc.property(log, (samples) => {
        const { result } = reviewWithState(seriesOf(samples), options);
        const { total } = result;
        const served =
          total.solarToLoadWh +
          total.batteryToLoadWh +
          total.gridToLoadWh +
          total.generatorToLoadWh +
          total.unattributedWh;
        expect(served).toBeCloseTo(total.loadWh, 4);
        expect(total.solarToLoadWh + total.solarToBatteryWh + total.solarToGridWh).toBeLessThanOrEqual(
          total.solarWh + 1e-6,
        );
        expect(total.batteryToLoadOfSolarWh).toBeLessThanOrEqual(total.batteryToLoadWh + 1e-6);
        const heldS = result.days.reduce((sum, day) => sum + day.heldS, 0);
        expect(heldS).toBeCloseTo(result.coverage.heldS, 5);
        const hoursS = result.hours.reduce((sum, hour) => sum + hour.heldS, 0);
        expect(hoursS).toBeCloseTo(result.coverage.heldS, 5);
        for (const day of result.days) {
          const onS = Object.values(day.onS).reduce((sum, s) => sum + s, 0);
          expect(onS).toBeCloseTo(day.heldS, 5);
        }
      }),
      { numRuns: 60 },
    );
  });

  it("contain no NaN and no infinity, whatever the log", () => {
    fc.assert(
      fc.property(log, (samples) => {
        const { result } = reviewWithState(seriesOf(samples), options);
        const wrong: string[] = [];
        JSON.stringify(result, (key, entry) => {
          // Sums are not results: NaN is what they have for nothing.
          if (key === "sums") return null;
          if (typeof entry === "number" && !Number.isFinite(entry)) wrong.push(key);
          return entry;
        });
        // A cause's evidence may hold NaN only where it says null: none of them may.
        expect(wrong).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  it("move with the log where it is shifted by whole weeks without a clock change", () => {
    fc.assert(
      fc.property(log, (samples) => {
        const weekMs = 7 * 86_400_000;
        const short = samples.slice(0, 800);
        const here = reviewWithState(seriesOf(short), { ...options, ratings: [RATINGS] }).result;
        const later = reviewWithState(seriesOf(short, seriesOf([{ s: 0 }]).timesMs[0] + weekMs), {
          ...options,
          ratings: [RATINGS],
        }).result;
        expect(later.total).toEqual(here.total);
        expect(later.transfers.map((one) => one.atMs - weekMs)).toEqual(
          here.transfers.map((one) => one.atMs),
        );
        expect(later.transfers.map((one) => one.cause)).toEqual(here.transfers.map((one) => one.cause));
        expect(later.nearLimit.map((one) => one.fromMs - weekMs)).toEqual(
          here.nearLimit.map((one) => one.fromMs),
        );
      }),
      { numRuns: 40 },
    );
  });
});
