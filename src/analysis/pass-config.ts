import type { LocalClock } from "./local-time";
import { lookBackS } from "./look-back";
import type { Ratings } from "./ratings";
import { ratingsPeriods } from "./ratings-in-force";
import type { PassOptions } from "./review-pass";
import { type FaultWord, NUMERIC_CHANNELS } from "./series";
import type { Settings } from "./settings";

/**
 * Version of what a pass finds and keeps. It goes up with every change of src/analysis that changes either:
 * then no kept state counts any more and everything is computed anew.
 */
export const PASS_VERSION = 8;

/** Settings that only the conclusions use: a change of them needs no pass over the samples. */
export const CONCLUDING_SETTINGS = [
  "overloadSeenAt",
  "overloadInferredAt",
  "dcLimitAt",
  "lowSocMarginPct",
  "lowVMarginV",
  "startRise",
  "scheduledDays",
  "scheduledWithinDays",
  "scheduledShare",
  "scheduledToleranceS",
  "oneLegMean",
  "repeatWithinS",
  "lossNoteShare",
  "steadySamples",
  "steadyBandW",
  "steadyBandShare",
  "stepMinW",
] as const satisfies readonly (keyof Settings)[];

/** Ratings that only the conclusions use, or nothing so far. */
const CONCLUDING_RATINGS = [
  "returnDelayS",
  "idleW",
  "dcCable",
  "solarPeakW",
  "legSurgeA",
  "surgeS",
  "maxTempC",
];
const CONCLUDING_BATTERY = ["surgeA", "lowSocPct", "resumeSocPct", "lowV"];

/**
 * Everything beside the samples that a pass over samples before an instant depends on, as text: where two are
 * the same, so is what was found and kept by then.
 *
 * @param beforeMs epoch ms; Infinity for the whole history
 */
export function passConfig(options: PassOptions, clock: LocalClock, beforeMs: number): string {
  const settings = Object.entries(options.settings)
    .filter(([name]) => !(CONCLUDING_SETTINGS as readonly string[]).includes(name))
    .sort(([a], [b]) => (a < b ? -1 : 1));
  const periods = ratingsPeriods(options.ratings, clock);
  return JSON.stringify({
    version: PASS_VERSION,
    zone: options.zone,
    settings,
    // What later ratings look back at must have been kept.
    lookBackS: lookBackS(periods, options.settings),
    ratings: periods
      .filter((period) => period.fromMs < beforeMs)
      .map((period) => [Math.max(period.fromMs, -Number.MAX_SAFE_INTEGER), passRatings(period.ratings)]),
    channels: NUMERIC_CHANNELS.filter((channel) => options.channels.includes(channel)),
    hasSource: options.hasSource,
    hasFault: options.hasFault,
    loggers: (options.loggers ?? []).map((logger) => [
      logger.name,
      logger.channels,
      logger.hasSource,
      logger.hasFault,
    ]),
    firstSocPct: options.firstSocPct ?? null,
  });
}

/** Everything beside events and days that the conclusions depend on, as text. */
export function concludeConfig(
  options: Omit<PassOptions, "state">,
  faultWords: readonly FaultWord[],
): string {
  const { firstSocPct: _, ...given } = options;
  return JSON.stringify({ version: PASS_VERSION, ...given, faultWords });
}

function passRatings(ratings: Ratings): unknown {
  const own = (object: object, without: readonly string[]) =>
    Object.entries(object)
      .filter(([name, value]) => !without.includes(name) && value !== undefined)
      .sort(([a], [b]) => (a < b ? -1 : 1));
  const { battery, from: _, ...rest } = ratings;
  return [own(rest, CONCLUDING_RATINGS), own(battery, CONCLUDING_BATTERY)];
}
