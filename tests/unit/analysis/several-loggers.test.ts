import { deserialize, serialize } from "node:v8";
import { describe, expect, it } from "vitest";
import { createReview } from "../../../src/analysis/review";
import { createReviewPass, type PassOptions, type PassState } from "../../../src/analysis/review-pass";
import type { NumericChannel, Series } from "../../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { RATINGS, review, type Sample, seriesOf, slice, steady } from "./samples";

function optionsOf(loggers: readonly Series[]): Omit<PassOptions, "state"> {
  const given = loggers.map((series, index) => ({
    name: `logger ${index}`,
    channels: Object.keys(series.channels) as NumericChannel[],
    hasSource: series.sources !== null,
    hasFault: series.faults !== null,
  }));
  return {
    zone: "America/Denver",
    ratings: [RATINGS],
    settings: DEFAULT_SETTINGS,
    channels: given.flatMap((logger) => logger.channels),
    hasSource: given.some((logger) => logger.hasSource),
    hasFault: given.some((logger) => logger.hasFault),
    loggers: given,
  };
}

function reviewOf(...loggers: Sample[][]) {
  const series = loggers.map((samples) => seriesOf(samples));
  const running = createReview(optionsOf(series));
  for (const [logger, one] of series.entries()) running.push(one, logger);
  return running.finish([]).result;
}

const without = (sample: Sample, channels: readonly (keyof Sample)[]): Sample =>
  Object.fromEntries(
    Object.entries(sample).filter(([name]) => name === "s" || !channels.includes(name as keyof Sample)),
  ) as Sample;
const only = (sample: Sample, channels: readonly (keyof Sample)[]): Sample =>
  Object.fromEntries(
    Object.entries(sample).filter(([name]) => name === "s" || channels.includes(name as keyof Sample)),
  ) as Sample;

describe("a review of several loggers (D1)", () => {
  // Two days with an overload, at half a minute.
  const samples: Sample[] = [
    ...steady(2880, 30, { loadL1W: 1500, loadL2W: 900, gridW: 0, solarW: 800, source: "inverter" }),
    ...steady(20, 30, { loadL1W: 4600, loadL2W: 900, gridW: 0, solarW: 800, source: "inverter" }, 86_400),
    ...steady(20, 30, { loadL1W: 4300, loadL2W: 900, gridW: 5200, solarW: 0, source: "utility" }, 87_000),
    ...steady(2840, 30, { loadL1W: 1500, loadL2W: 900, gridW: 0, solarW: 800, source: "inverter" }, 87_600),
  ];

  it("comes to the same as one log with all the channels, where their samples fall together", () => {
    const main = samples.map((sample) => without(sample, ["gridW", "solarW"]));
    const meter = samples.map((sample) => only(sample, ["gridW", "solarW"]));
    expect(reviewOf(main, meter)).toEqual(review(seriesOf(samples)));
  });

  it("gives a meter's coarser samples as much weight as they stand for", () => {
    const main = samples.map((sample) => without(sample, ["gridW"]));
    const meter = samples.filter((_, i) => i % 10 === 0).map((sample) => only(sample, ["gridW"]));
    const result = reviewOf(main, meter);
    const whole = review(seriesOf(samples));
    expect(result.total.loadWh).toBeCloseTo(whole.total.loadWh, 6);
    expect(result.total.gridToLoadWh).toBeCloseTo(whole.total.gridToLoadWh, 6);
    expect(result.coverage.heldS).toBe(whole.coverage.heldS);
    expect(result.coverage.nominalS).toBe(30);
    expect(result.transfers.map(({ atMs, cause }) => [atMs, cause])).toEqual(
      whole.transfers.map(({ atMs, cause }) => [atMs, cause]),
    );
    expect(result.transfers).toHaveLength(1);
  });

  it("leaves the shares out where the meter has a gap, and the near-limit interval in", () => {
    const main = samples.map((sample) => without(sample, ["gridW"]));
    const meter = samples
      .filter((sample) => sample.s < 86_000 || sample.s >= 88_000)
      .map((sample) => only(sample, ["gridW"]));
    const result = reviewOf(main, meter);
    const whole = review(seriesOf(samples));
    expect(result.nearLimit).toEqual(whole.nearLimit);
    expect(result.nearLimit.length).toBeGreaterThan(0);
    expect(result.coverage).toEqual(whole.coverage);
    const sharesHeldS = result.days.reduce((sum, day) => sum + day.sharesHeldS, 0);
    const wholeS = whole.days.reduce((sum, day) => sum + day.sharesHeldS, 0);
    // The meter's last sample before is at 85,980 s, and stands for 30 s.
    expect(wholeS - sharesHeldS).toBe(88_020 - 86_010);
  });

  it("counts against the allowance no part of a sample that lies before the window (D7)", () => {
    const loads = [...Array(30).fill(500), 4600, 4600, 4600, 500, 4600, ...Array(10).fill(4610)];
    const main = loads.map(
      (loadL1W, i): Sample => ({
        s: i * 20,
        loadL1W,
        loadL2W: 500,
        source: i < 35 ? "inverter" : "utility",
      }),
    );
    const meter = Array.from({ length: 190 }, (_, i): Sample => ({ s: i * 5, frequencyHz: 60 }));
    // Of the samples on inverter above the limit those 20, 60 and 80 s before count, not that 100 s before.
    const ratings = [{ ...RATINGS, overload: [{ upToRatio: 1.25, forS: 90 }] }];
    const tagsOf = (...loggers: Sample[][]) => {
      const series = loggers.map((samples) => seriesOf(samples));
      const running = createReview({ ...optionsOf(series), ratings });
      for (const [logger, one] of series.entries()) running.push(one, logger);
      return running.finish([]).result.transfers.map((one) => one.tags);
    };
    expect(tagsOf(main)).toEqual([expect.arrayContaining(["within-allowance"])]);
    expect(tagsOf(main, meter)).toEqual(tagsOf(main));
  });

  it("goes on from a kept state as if it had never stopped", () => {
    const main = seriesOf(samples.map((sample) => without(sample, ["gridW", "solarW"])));
    const meter = seriesOf(
      samples.filter((_, i) => i % 7 === 0).map((sample) => only(sample, ["gridW", "solarW"])),
    );
    const options = optionsOf([main, meter]);
    const found = (at: number | null) => {
      let pass = createReviewPass(options);
      const all: ReturnType<typeof pass.take>[] = [];
      if (at !== null) {
        for (const [logger, series] of [main, meter].entries()) {
          const end = series.timesMs.findIndex((ms) => ms >= main.timesMs[at]);
          pass.push(slice(series, 0, end), logger);
        }
        all.push(pass.take());
        pass = createReviewPass({ ...options, state: deserialize(serialize(pass.keep())) as PassState });
      }
      for (const [logger, series] of [main, meter].entries()) {
        const start = at === null ? 0 : series.timesMs.findIndex((ms) => ms >= main.timesMs[at]);
        pass.push(slice(series, start, series.timesMs.length), logger);
        pass.endLogger(logger);
      }
      pass.end();
      all.push(pass.take());
      return Object.fromEntries(
        (Object.keys(all[0]) as (keyof (typeof all)[0])[]).map((key) => [
          key,
          all.flatMap((one) => [...one[key]]),
        ]),
      );
    };
    expect(found(2900)).toEqual(found(null));
    expect(found(1500)).toEqual(found(null));
  });
});
