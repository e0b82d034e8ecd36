import { deserialize, serialize } from "node:v8";
import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";
import { CONCLUDING_SETTINGS, passConfig } from "../../../src/analysis/pass-config";
import type { Ratings } from "../../../src/analysis/ratings";
import { createReviewPass, type PassOptions } from "../../../src/analysis/review-pass";
import { DEFAULT_SETTINGS, type Settings } from "../../../src/analysis/settings";
import { RATINGS, seriesOf, slice, steady } from "./samples";

const DAY_S = 86_400;

/** A morning long enough for the nominal interval to be known, ten minutes above the limit up to a local midnight and a minute beyond, then on utility. */
const MORNING = 1100;
const series = seriesOf([
  ...steady(MORNING, 10, { source: "inverter", loadL1W: 1000, loadL2W: 0 }, DAY_S - 600 - MORNING * 10),
  ...steady(66, 10, { source: "inverter", loadL1W: 4400, loadL2W: 0 }, DAY_S - 600),
  ...steady(6, 10, { source: "utility", loadL1W: 4400, loadL2W: 0 }, DAY_S + 60),
  ...steady(6, 10, { source: "inverter", loadL1W: 1000, loadL2W: 0 }, DAY_S + 120),
]);

/** Ratings of the second day that allow an overload for an hour. */
const LATER: Ratings = { ...RATINGS, from: "2026-05-15", overload: [{ upToRatio: 1.25, forS: 3600 }] };

function optionsOf(ratings: readonly Ratings[]): PassOptions {
  return {
    zone: "America/Denver",
    ratings,
    settings: DEFAULT_SETTINGS,
    channels: ["loadL1W", "loadL2W"],
    hasSource: true,
    hasFault: false,
  };
}

describe("the ratings in the configuration of a pass", () => {
  it("names every figure of the ratings that the pass reads, and leaves out what only the conclusions use", () => {
    const clock = createLocalClock("America/Denver");
    const textOf = (ratings: Ratings) => passConfig(optionsOf([ratings]), clock, Number.POSITIVE_INFINITY);
    const own = textOf(RATINGS);
    const battery = (change: Partial<Ratings["battery"]>) =>
      textOf({ ...RATINGS, battery: { ...RATINGS.battery, ...change } });
    for (const read of [
      textOf({ ...RATINGS, legLimitW: 3000 }),
      textOf({ ...RATINGS, passThroughA: 33 }),
      textOf({ ...RATINGS, loadOutsideA: 5 }),
      battery({ capacityAh: 333 }),
      battery({ nominalV: 48 }),
      battery({ fuseA: 66 }),
      battery({ maxDischargeA: 77 }),
      battery({ maxChargeA: 77 }),
    ]) {
      expect(read).not.toBe(own);
    }
    expect(textOf({ ...RATINGS, returnDelayS: 999 })).toBe(own);
    expect(battery({ lowSocPct: 11, lowV: 44 })).toBe(own);
  });
});

describe("what a pass keeps at a midnight", () => {
  it("counts for other ratings of later days only where it is enough for them", () => {
    const midnight = MORNING + 60;
    const clock = createLocalClock("America/Denver");
    const [before, after] = [optionsOf([RATINGS]), optionsOf([RATINGS, LATER])];

    const kept = createReviewPass(before);
    kept.push(slice(series, 0, midnight));
    kept.take();
    const goesOn = createReviewPass({ ...after, state: deserialize(serialize(kept.keep())) });
    goesOn.push(slice(series, midnight, series.timesMs.length));
    goesOn.end();
    const whole = createReviewPass(after);
    whole.push(series);
    whole.end();

    const same =
      passConfig(before, clock, series.timesMs[midnight]) ===
      passConfig(after, clock, series.timesMs[midnight]);
    const enough = JSON.stringify(goesOn.take().transfers) === JSON.stringify(whole.take().transfers);
    expect({ same, enough }).not.toEqual({ same: true, enough: false });
  });
});

describe("the configuration of a pass", () => {
  const clock = createLocalClock("America/Denver");
  const config = (options: PassOptions) => passConfig(options, clock, Number.POSITIVE_INFINITY);
  const plain = optionsOf([RATINGS]);

  it("names every setting but those of the conclusions", () => {
    const counting = (Object.keys(DEFAULT_SETTINGS) as (keyof Settings)[]).filter((name) => {
      const settings = { ...DEFAULT_SETTINGS, [name]: DEFAULT_SETTINGS[name] * 2 };
      return config({ ...plain, settings }) !== config(plain);
    });
    const concluding: readonly string[] = CONCLUDING_SETTINGS;
    expect(counting).toEqual(Object.keys(DEFAULT_SETTINGS).filter((name) => !concluding.includes(name)));
  });

  it("names zone, channels, source, fault, loggers and the first state of charge", () => {
    const logger = { name: "meter", channels: ["loadL1W"], hasSource: true, hasFault: false } as const;
    for (const change of [
      { zone: "America/Chicago" },
      { channels: ["loadL1W"] },
      { hasSource: false },
      { hasFault: true },
      { loggers: [logger] },
      { firstSocPct: 50 },
    ] satisfies Partial<PassOptions>[]) {
      expect(config({ ...plain, ...change })).not.toBe(config(plain));
    }
    const two = (name: string, channel: "loadL1W" | "loadL2W") =>
      config({ ...plain, loggers: [{ ...logger, name, channels: [channel] }] });
    expect(two("meter", "loadL1W")).not.toBe(two("other", "loadL1W"));
    expect(two("meter", "loadL1W")).not.toBe(two("meter", "loadL2W"));
  });

  it("is of the ratings that count before an instant, and not of their order", () => {
    const later = { ...RATINGS, from: "2026-05-15", legLimitW: 5000 };
    const midnightMs = clock.dateStartMs("2026-05-15");
    const at = (ratings: readonly Ratings[], beforeMs: number) =>
      passConfig(optionsOf(ratings), clock, beforeMs);
    expect(at([RATINGS, later], midnightMs)).toBe(at([RATINGS], midnightMs));
    expect(at([RATINGS, later], midnightMs + 1)).not.toBe(at([RATINGS], midnightMs + 1));
    expect(at([later, RATINGS], midnightMs + 1)).toBe(at([RATINGS, later], midnightMs + 1));
  });
});
