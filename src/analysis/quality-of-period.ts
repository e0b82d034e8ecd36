import { type ClockDrift, clockDrift } from "./clock-drift";
import { frozenRuns, type StillRun } from "./frozen-runs";
import type { Jump } from "./jumps";
import type { QualityDay } from "./quality-day";
import type { RestingSoc } from "./resting-soc";
import type { NumericChannel } from "./series";

/** What one logger's days say together. */
export type PeriodQuality = {
  samples: number;
  heldS: number;
  /** Held time with a value, s, of each channel that a day has. */
  coveredS: Partial<Record<NumericChannel, number>>;
  frozen: (StillRun & { channel: NumericChannel })[];
  restingSoc: RestingSoc[];
  jumps: Jump[];
  jumpCount: number;
  clock: ClockDrift;
};

/** Adds up days of one logger, in order, and concludes what only shows over many. */
export function qualityOfPeriod(days: readonly QualityDay[]): PeriodQuality {
  const coveredS: PeriodQuality["coveredS"] = {};
  const still = new Set<NumericChannel>();
  for (const day of days) {
    for (const [channel, covered] of Object.entries(day.coveredS) as [NumericChannel, number][])
      coveredS[channel] = (coveredS[channel] ?? 0) + covered;
    for (const channel of Object.keys(day.stillness) as NumericChannel[]) still.add(channel);
  }
  return {
    samples: days.reduce((sum, day) => sum + day.samples, 0),
    heldS: days.reduce((sum, day) => sum + day.heldS, 0),
    coveredS,
    frozen: [...still].flatMap((channel) =>
      frozenRuns(days.map((day) => day.stillness[channel]).filter((one) => one !== undefined)).map((run) => ({
        channel,
        ...run,
      })),
    ),
    restingSoc: days.flatMap((day) => day.restingSoc),
    jumps: days.flatMap((day) => day.jumps),
    jumpCount: days.reduce((sum, day) => sum + day.jumpCount, 0),
    clock: clockDrift(days.map((day) => day.sun)),
  };
}
