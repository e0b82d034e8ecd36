import { type ClockLag, clockLag } from "./clock-lag";
import { NEVER_STILL, type Stillness, stillness } from "./frozen-runs";
import { findJumps, type Jump } from "./jumps";
import type { LocalClock } from "./local-time";
import { type MeterDifference, meterAgreement } from "./meter-agreement";
import type { Minutes } from "./minutes";
import type { Ratings } from "./ratings";
import { type RestingSoc, restingSoc } from "./resting-soc";
import { NUMERIC_CHANNELS, type NumericChannel } from "./series";
import { type SharedQuantity, sharedQuantity } from "./shared-quantity";
import { type SunDay, sunMiddle } from "./sun-middle";

/** What one local day of one logger says of the log itself. Plain data. */
export type QualityDay = {
  /** yyyy-MM-dd at the site. */
  date: string;
  fromMs: number;
  toMs: number;
  samples: number;
  /** Held time, s. */
  heldS: number;
  /** Held time with a value, s, to the minute, of each channel that the logger has. */
  coveredS: Partial<Record<NumericChannel, number>>;
  stillness: Partial<Record<NumericChannel, Stillness>>;
  restingSoc: RestingSoc[];
  /** The first of them; `jumpCount` says how many there are. */
  jumps: Jump[];
  jumpCount: number;
  meters: MeterDifference[];
  sun: SunDay | null;
  /** Against the site's first logger; null for that one itself, and where nothing tells. */
  lag: (ClockLag & { by: SharedQuantity["what"] }) | null;
};

/**
 * Looks through the minutes of one local day, rows `from` to `to` of one logger. The row before `from` counts for
 * what lies between the days.
 *
 * @param ratings those in force on that day
 * @param first minutes of the site's first logger over the same time, where this is another one
 */
export function qualityDay(
  minutes: Minutes,
  first: Minutes | null,
  ratings: Ratings,
  clock: LocalClock,
  from: number,
  to: number,
): QualityDay {
  const fromMs = clock.startOfDayMs(minutes.minuteMs[from]);
  const toMs = clock.nextDayMs(fromMs);
  let samples = 0;
  let heldS = 0;
  for (let row = from; row < to; row++) {
    samples += minutes.samples[row];
    heldS += minutes.heldS[row];
  }
  const present = NUMERIC_CHANNELS.filter((channel) => minutes.channels[channel] !== undefined);
  const { jumps, count } = findJumps(minutes, ratings, from, to);
  return {
    date: clock.date(fromMs),
    fromMs,
    toMs,
    samples,
    heldS,
    coveredS: Object.fromEntries(present.map((channel) => [channel, coveredS(minutes, channel, from, to)])),
    stillness: Object.fromEntries(
      NEVER_STILL.filter((channel) => present.includes(channel)).map((channel) => [
        channel,
        stillness(minutes, channel, from, to),
      ]),
    ),
    restingSoc: restingSoc(minutes, ratings, from, to),
    jumps,
    jumpCount: count,
    meters: meterAgreement(minutes, from, to),
    sun: sunMiddle(minutes, from, to, (toMs - fromMs) / 1000),
    lag: first === null ? null : lagBehind(first, minutes, from, to),
  };
}

function coveredS(minutes: Minutes, channel: NumericChannel, from: number, to: number): number {
  const { mean } = minutes.channels[channel]!;
  let covered = 0;
  for (let row = from; row < to; row++) if (!Number.isNaN(mean[row])) covered += minutes.heldS[row];
  return covered;
}

function lagBehind(first: Minutes, minutes: Minutes, from: number, to: number): QualityDay["lag"] {
  const shared = sharedQuantity(first, minutes, from, to);
  if (shared === null) return null;
  const lag = clockLag(shared.one, shared.other);
  return lag === null ? null : { ...lag, by: shared.what };
}
