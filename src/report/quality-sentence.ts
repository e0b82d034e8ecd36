import type { ClockDrift } from "../analysis/clock-drift";
import type { StillRun } from "../analysis/frozen-runs";
import type { Jump } from "../analysis/jumps";
import type { LocalClock } from "../analysis/local-time";
import type { MeterDifference } from "../analysis/meter-agreement";
import type { QualityDay } from "../analysis/quality-day";
import type { RestingSoc } from "../analysis/resting-soc";
import type { NumericChannel } from "../analysis/series";
import { channelName } from "./channel-name";
import {
  capital,
  formatCount,
  formatDuration,
  formatEnergy,
  formatLocalTime,
  formatNumber,
  formatPct,
  formatShare,
  formatYearDate,
} from "./format";

/** A value of a channel with the channel's unit. */
export function channelValue(channel: NumericChannel, value: number): string {
  const unit = UNITS.find(([ending]) => channel.endsWith(ending))?.[1] ?? "";
  return `${formatNumber(value, unit === "V" || unit === "A" || unit === "%" ? 1 : 0)} ${unit}`;
}

/** Longest endings first. */
const UNITS = [
  ["Pct", "%"],
  ["Va", "VA"],
  ["Hz", "Hz"],
  ["W", "W"],
  ["A", "A"],
  ["V", "V"],
  ["C", "°C"],
] as const;

/** A channel that hung. */
export function frozenSentence(run: StillRun & { channel: NumericChannel }, clock: LocalClock): string {
  return `${capital(channelName(run.channel))} stood at ${channelValue(run.channel, run.value)} for ${formatDuration((run.toMs - run.fromMs) / 1000)} from ${formatLocalTime(run.fromMs, clock)} on, while other channels moved: the sensor or its connection may have hung.`;
}

/** A state of charge that stood still while the battery worked. */
export function restingSocSentence(run: RestingSoc, clock: LocalClock): string {
  const way = run.netWh > 0 ? "gave" : "took";
  return `The state of charge stood at ${formatPct(run.socPct)} from ${formatLocalTime(run.fromMs, clock)} to ${formatLocalTime(run.toMs, clock)}, in which the battery ${way} ${formatEnergy(Math.abs(run.netWh))}.`;
}

/** A value or a change that can't be. */
export function jumpSentence(jump: Jump, clock: LocalClock): string {
  const name = capital(channelName(jump.channel));
  const at = formatLocalTime(jump.atMs, clock);
  const limit = channelValue(jump.channel, jump.limit);
  return jump.from === null
    ? `${name} was ${channelValue(jump.channel, jump.to)} at ${at}, beyond ${limit}, which the equipment can't pass.`
    : `${name} went from ${channelValue(jump.channel, jump.from)} to ${channelValue(jump.channel, jump.to)} at ${at}, more than ${limit} in a minute.`;
}

const METERS: { readonly [W in MeterDifference["what"]]: string } = {
  "legs-total": "L1 + L2 and the total load",
  "battery-volt-amperes": "battery voltage times current and battery power",
  "strings-total": "the strings and the total of the sun",
};

/** Two measurements of one quantity, over the days in which they are more than the setting apart. */
export function metersSentence(
  what: MeterDifference["what"],
  days: readonly { date: string; share: number }[],
  limit: number,
): string {
  const worst = days.reduce((most, day) => (day.share > most.share ? day : most));
  return `${capital(METERS[what])} were apart by more than ${formatShare(limit)} on ${formatCount(days.length, "day")}, most on ${worst.date} (${formatShare(worst.share)} of the greater): one of the meters, its column or its sign is wrong.`;
}

/** What the sun says of the clock; nothing where it says nothing. */
export function clockSentences(drift: ClockDrift, clock: LocalClock): string[] {
  const sentences = drift.steps.map(
    ({ atMs, byMin }) =>
      `By the sun the clock moved by about ${formatNumber(Math.abs(byMin), 0)} min ${byMin > 0 ? "forward" : "back"} around ${formatYearDate(atMs, clock)}: it was set then, or summer time was not told. New shade or another panel looks the same.`,
  );
  const { driftMinPerMonth } = drift;
  if (driftMinPerMonth !== null && Math.abs(driftMinPerMonth) >= LEAST_DRIFT_MIN) {
    sentences.push(
      `By the sun of ${formatCount(drift.days, "day")} the clock ${driftMinPerMonth > 0 ? "gains" : "loses"} about ${formatNumber(Math.abs(driftMinPerMonth), 0)} min a month. Shade that wanders with the season looks the same.`,
    );
  }
  return sentences;
}

/** Less than this the sun's middle wanders by itself over a season of shade and weather. */
const LEAST_DRIFT_MIN = 15;

/** A logger whose clock is behind or ahead of the first one's on several days; null for none. */
export function lagSentence(logger: string, first: string, days: readonly QualityDay[]): string | null {
  const lags = days.flatMap(({ lag }) => (lag === null ? [] : [lag.lagMin])).sort((a, b) => a - b);
  if (lags.length === 0 || lags.length * 2 < days.length) return null;
  const middle = lags[lags.length >> 1];
  return `The clock of "${logger}" runs ${formatNumber(Math.abs(middle), 0)} min ${middle > 0 ? "ahead of" : "behind"} that of "${first}" on ${lags.length} of ${formatCount(days.length, "day")} (from ${formatNumber(lags[0], 0)} to ${formatNumber(lags[lags.length - 1], 0)} min), by what both of them see.`;
}
