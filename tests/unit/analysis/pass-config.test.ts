import { deserialize, serialize } from "node:v8";
import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";
import { passConfig } from "../../../src/analysis/pass-config";
import type { Ratings } from "../../../src/analysis/ratings";
import { createReviewPass, type PassOptions } from "../../../src/analysis/review-pass";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
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
