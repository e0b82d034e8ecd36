import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createReview } from "../../src/analysis/review";
import type { NumericChannel, Series, Source } from "../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../src/analysis/settings";
import { RATINGS, type Sample, seriesOf, slice } from "../unit/analysis/samples";

const SOURCES: Source[] = ["inverter", "inverter", "inverter", "utility", "utility", "unknown", "none"];
/** Long enough for several samples to use up. */
const ALLOWANCE = [
  { upToRatio: 1.25, forS: 400 },
  { upToRatio: 2, forS: 200 },
];
const value = fc.oneof(
  { weight: 12, arbitrary: fc.integer({ min: 0, max: 6000 }) },
  { weight: 1, arbitrary: fc.constant(Number.NaN) },
);

/** An inverter's log: stretches of equal state and load, gaps, changes of interval. */
const main = fc
  .array(
    fc.record({
      count: fc.integer({ min: 1, max: 60 }),
      intervalS: fc.constantFrom(60, 60, 60, 60, 20),
      gapS: fc.constantFrom(0, 0, 0, 70, 250, 9000),
      // The load follows the source a sample later, as where a motor starts just after.
      late: fc.boolean(),
      source: fc.constantFrom(...SOURCES),
      loadL1W: value,
      loadL2W: value,
      fault: fc.constantFrom(0, 0, 0, 1, 2),
    }),
    { minLength: 1, maxLength: 25 },
  )
  .map((stretches) => {
    const samples: Sample[] = [];
    // Whether a code that stood before a gap is new after it is told by rows: there the two can differ.
    const faults = stretches.every((stretch) => stretch.gapS === 0);
    let s = 0;
    for (const { count, intervalS, gapS, late, ...values } of stretches) {
      const before = samples[samples.length - 1];
      s += gapS;
      for (let i = 0; i < count; i++) {
        s += intervalS;
        const { loadL1W, loadL2W } = late && i === 0 && before !== undefined ? before : values;
        samples.push({ s, ...values, loadL1W, loadL2W, fault: faults ? values.fault : 0 });
      }
    }
    return samples;
  });

/** A meter of the frequency, which no cause and no energy hangs on. */
const meter = fc.record({
  fromS: fc.integer({ min: 0, max: 3000 }),
  intervalS: fc.constantFrom(7, 13, 60, 300),
  count: fc.integer({ min: 1, max: 2500 }),
});

function resultOf(loggers: readonly Series[], chunk = Number.POSITIVE_INFINITY) {
  const given = loggers.map((series, index) => ({
    name: `logger ${index}`,
    channels: Object.keys(series.channels) as NumericChannel[],
    hasSource: series.sources !== null,
    hasFault: series.faults !== null,
  }));
  const running = createReview({
    zone: "America/Denver",
    ratings: [{ ...RATINGS, passThroughA: 40, overload: ALLOWANCE }],
    settings: DEFAULT_SETTINGS,
    channels: given.flatMap((logger) => logger.channels),
    hasSource: true,
    hasFault: true,
    loggers: given,
  });
  const read = loggers.map(() => 0);
  while (read.some((from, l) => from < loggers[l].timesMs.length)) {
    for (const [l, series] of loggers.entries()) {
      const to = Math.min(series.timesMs.length, read[l] + chunk);
      if (to > read[l]) running.push(slice(series, read[l], to), l);
      read[l] = to;
    }
  }
  return running.finish([
    { code: "7", meaning: null },
    { code: "9", meaning: "overload" },
  ]).result;
}

/** Events without what counts rows: their words, and apart from them their numbers. */
function eventsOf(result: ReturnType<typeof resultOf>): { words: unknown; numbers: number[] } {
  const { transfers, dropouts, nearLimit, returnDelay, total } = result;
  const numbers: number[] = [];
  const words = JSON.stringify({ transfers, dropouts, nearLimit, returnDelay, total }, (key, entry) => {
    if (key === "evidence") return undefined;
    if (typeof entry !== "number") return entry as unknown;
    numbers.push(entry);
    return 0;
  });
  return { words: JSON.parse(words), numbers };
}

describe("a review of several loggers", () => {
  it("finds the same events of the load and the source whatever another logger adds between their samples", () => {
    fc.assert(
      fc.property(main, meter, (samples, { fromS, intervalS, count }) => {
        // A single sample has no hold: beside other loggers it isn't shown.
        fc.pre(samples.length > 1);
        const inverter = seriesOf(samples);
        const frequency = seriesOf(
          Array.from({ length: count }, (_, i) => ({ s: fromS + i * intervalS, frequencyHz: 60 })),
        );
        const together = eventsOf(resultOf([inverter, frequency]));
        const alone = eventsOf(resultOf([inverter]));
        expect(together.words).toEqual(alone.words);
        // Sums are added up in other pieces.
        const apart = together.numbers.filter(
          (one, i) => !(Math.abs(one - alone.numbers[i]) <= 1e-9 * Math.max(1, Math.abs(one))),
        );
        expect(apart).toEqual([]);
      }),
      { numRuns: 120 },
    );
  });

  it("gives the same results to the bit whatever the chunks of each", () => {
    fc.assert(
      fc.property(
        main,
        meter,
        fc.integer({ min: 1, max: 300 }),
        (samples, { fromS, intervalS, count }, chunk) => {
          const inverter = seriesOf(samples);
          const frequency = seriesOf(
            Array.from({ length: count }, (_, i) => ({
              s: fromS + i * intervalS,
              frequencyHz: 60,
              gridW: i % 900,
            })),
          );
          expect(resultOf([inverter, frequency], chunk)).toEqual(resultOf([inverter, frequency]));
        },
      ),
      { numRuns: 40 },
    );
  });
});
