import type { LocalClock } from "../local-time";
import type { Ratings } from "../ratings";
import { NUMERIC_CHANNELS, type NumericChannel } from "../series";
import { NEVER_STILL, type Stillness, stillness } from "./frozen";
import { findJumps, type Jump } from "./jumps";
import { type MeterDifference, meterAgreement } from "./meter-agreement";
import type { Minutes } from "./minutes";
import { type RestingSoc, restingSoc } from "./resting-soc";
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
};

/**
 * Looks through the minutes of one local day, rows `from` to `to` of one logger. The row before `from` counts for
 * what lies between the days.
 *
 * @param ratings those in force on that day
 */
export function qualityDay(
  minutes: Minutes,
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
  };
}

function coveredS(minutes: Minutes, channel: NumericChannel, from: number, to: number): number {
  const { mean } = minutes.channels[channel]!;
  let covered = 0;
  for (let row = from; row < to; row++) if (!Number.isNaN(mean[row])) covered += minutes.heldS[row];
  return covered;
}
