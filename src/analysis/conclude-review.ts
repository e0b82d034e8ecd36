import { channelsPresent } from "./channels-present";
import { PROTECTIVE_DEVICES } from "./continuous-load";
import { coverageOf } from "./coverage";
import type { DayRecord } from "./day-record";
import { decideCauses } from "./decide-causes";
import { createDeriveCounts, type DeriveCounts } from "./derive-columns";
import { derivedChannels } from "./derived-channels";
import { addShares, zeroShares } from "./energy-shares";
import type { Found, IntervalChange } from "./found";
import { createLocalClock } from "./local-time";
import { type NoteCode, type NoteFigures, noteOf } from "./note";
import { ratingsAt, ratingsPeriods } from "./ratings-in-force";
import type { Coverage, DayResult, Dropout, EnergyShares, Note, ReturnDelay, Transfer } from "./results";
import { delayS, returnDelay } from "./return-delay";
import type { PassOptions } from "./review-pass";
import { type FaultWord, NUMERIC_CHANNELS, type NumericChannel } from "./series";
import type { FoundDropout, FoundTransfer } from "./transfers";

/** What concluding needs to know beside what was found. */
export type ConcludeOptions = Omit<PassOptions, "state" | "firstSocPct"> & {
  readonly faultWords: readonly FaultWord[];
  /** The logger's nominal interval, ms; NaN where there is none. */
  readonly nominalMs: number;
};

/** What of a day the conclusions stand on. */
export type DayGist = Pick<DayResult, "date" | "samples" | "heldS" | "shares"> & {
  /** First sample and end of the last hold, epoch ms; NaN where there is none. */
  readonly firstMs: number;
  readonly untilMs: number;
  readonly counts: DeriveCounts;
};

/** What all days of a history come to, added up in order of time. */
export type DaysTotal = Pick<DayGist, "samples" | "heldS" | "shares" | "counts"> & {
  /** First sample of the history, epoch ms; NaN where there is none. */
  readonly firstMs: number;
  /** First sample of the first day; NaN where only the hold of an earlier sample reaches into it. */
  readonly firstDayMs: number;
  /** End of the last hold of the last day; NaN where there is none. */
  readonly untilMs: number;
};

/** How far a day's meters are apart. */
export type DayBalance = { readonly date: string } & Pick<EnergyShares, "lossesWh" | "suppliedWh">;

/** What is concluded from all events and days of a history. */
export type Conclusions = {
  coverage: Omit<Coverage, "gaps">;
  transfers: Transfer[];
  dropouts: Dropout[];
  returnDelay: ReturnDelay;
  total: EnergyShares;
  notes: Note[];
  /** What each transfer counts with in the return delay, s; null where it counts in nothing. */
  delaysS: (number | null)[];
};

/** The gist of a day's record. */
export function dayGist(day: DayRecord): DayGist {
  const { firstMs, untilMs } = day.sums.coverage;
  return {
    date: day.date,
    samples: day.samples,
    heldS: day.heldS,
    shares: day.shares,
    firstMs,
    untilMs,
    counts: day.sums.counts,
  };
}

/**
 * The second pass: what looks across days (causes by the clock, repeats, the return delay, notes, totals), from
 * the events and days that the pass over samples found.
 *
 * @param found events of the whole history, each list in the order in which it was found
 * @param days every day with a hold, ascending
 */
export function concludeReview(
  found: Pick<Found, "transfers" | "dropouts" | "intervals">,
  days: readonly DayGist[],
  options: ConcludeOptions,
): Conclusions {
  const events = concludeEvents(found.transfers, found.dropouts, days, options);
  const balances = days.map(({ date, shares }) => ({ date, ...shares }));
  return {
    ...events,
    ...concludeHistory(found.intervals, daysTotal(days), balances, events.delaysS, options),
  };
}

/** Adds up days, ascending: energies in Wh, times in s, counts. */
export function daysTotal(days: readonly DayGist[]): DaysTotal {
  const shares = zeroShares();
  const counts = createDeriveCounts();
  let samples = 0;
  let heldS = 0;
  for (const day of days) {
    addShares(shares, day.shares);
    samples += day.samples;
    heldS += day.heldS;
    for (const key of Object.keys(counts) as (keyof DeriveCounts)[]) counts[key] += day.counts[key];
  }
  return {
    shares,
    counts,
    samples,
    heldS,
    firstMs: days.find((day) => !Number.isNaN(day.firstMs))?.firstMs ?? Number.NaN,
    firstDayMs: days[0]?.firstMs ?? Number.NaN,
    untilMs: days[days.length - 1]?.untilMs ?? Number.NaN,
  };
}

/**
 * The causes of events, and what each transfer counts with in the return delay (null where in nothing). An event
 * depends on events and days within scheduledWithinDays of it and on the return before it, on no others.
 *
 * @param transfers in order of time, as `dropouts`
 */
export function concludeEvents(
  transfers: readonly FoundTransfer[],
  dropouts: readonly FoundDropout[],
  days: readonly Pick<DayGist, "date" | "samples">[],
  options: ConcludeOptions,
): Pick<Conclusions, "transfers" | "dropouts" | "delaysS"> {
  const clock = createLocalClock(options.zone);
  const periods = ratingsPeriods(options.ratings, clock);
  const causes = decideCauses(transfers, dropouts, {
    clock,
    settings: options.settings,
    ratingsOf: (atMs) => ratingsAt(periods, atMs),
    faultWords: options.faultWords,
    dates: new Set(days.filter((day) => day.samples > 0).map((day) => day.date)),
    channels: options.channels,
    hasSource: options.hasSource,
    hasFault: options.hasFault,
  });
  return { ...causes, delaysS: transfers.map((one, i) => delayS(one, causes.transfers[i].cause)) };
}

/**
 * What stands once for the history: coverage, energies, return delay, notes.
 *
 * @param balances days in order, at least all those whose meters are apart by more than lossNoteShare
 */
export function concludeHistory(
  intervals: readonly IntervalChange[],
  total: DaysTotal,
  balances: readonly DayBalance[],
  delaysS: readonly (number | null)[],
  options: ConcludeOptions,
): Pick<Conclusions, "coverage" | "total" | "returnDelay" | "notes"> {
  const delay = returnDelay(delaysS);
  return {
    coverage: coverageOf(total.samples, total.heldS, total.firstMs, total.untilMs, options.nominalMs),
    returnDelay: delay,
    total: total.shares,
    notes: notesOf(intervals, total, balances, options, delay),
  };
}

function notesOf(
  intervals: readonly IntervalChange[],
  { counts, firstDayMs }: DaysTotal,
  balances: readonly DayBalance[],
  options: ConcludeOptions,
  delay: ReturnDelay,
): Note[] {
  const { settings } = options;
  const clock = createLocalClock(options.zone);
  const periods = ratingsPeriods(options.ratings, clock);
  const { returnDelayS } = periods[periods.length - 1].ratings;
  const channels = NUMERIC_CHANNELS.filter((channel) => options.channels.includes(channel));
  const present = channelsPresent(channels, options.hasSource, options.hasFault);
  const notes: Note[] = [];
  const add = <C extends NoteCode>(code: C, figures: NoteFigures[C]) => notes.push(noteOf(code, figures));
  const has = (channel: NumericChannel) => channels.includes(channel);
  if (!present.load) add("no-load", {});
  else if (!present.legs) add("no-legs", {});
  if (!present.source) {
    if (present.grid) {
      const { sourceFromGridShare, sourceFloorShare } = settings;
      add("source-from-grid", { sourceFromGridShare, sourceFloorShare });
    } else add("no-source", {});
  }
  for (const { channel, logger, by } of options.passedOver ?? []) {
    add("channel-of-two-loggers", { channel, logger, by });
  }
  if (!present.solar) add("no-solar", {});
  if (!present.battery) add(has("batteryA") ? "battery-no-volts" : "no-battery", {});
  if (!present.grid) add("grid-from-balance", {});
  if ((has("loadL1A") && !has("loadL1W")) || (has("loadL2A") && !has("loadL2W"))) add("power-factor-one", {});
  for (const { what, from } of derivedChannels(channels)) add("derived", { what, from });
  if (counts.totalApartS > 86_400) {
    add("total-disagrees", { apartS: counts.totalApartS, totalDisagreement: settings.totalDisagreement });
  }
  if (counts.negativeLoadRows > 0) add("negative-load", { samples: counts.negativeLoadRows });
  if (counts.blendingRows > 0) {
    add("blending", {
      samples: counts.blendingRows,
      legsUnknown: counts.blendingUnknownRows,
      blendingShare: settings.blendingShare,
    });
  }
  const toleranceS = Math.max(30, (2 * options.nominalMs) / 1000);
  if (
    delay.medianS !== null &&
    returnDelayS !== undefined &&
    Math.abs(delay.medianS - returnDelayS) > toleranceS
  ) {
    add("return-delay-differs", {
      medianS: delay.medianS,
      n: delay.n,
      returnDelayS,
      toleranceS,
      intervalS: options.nominalMs / 1000,
    });
  }
  const firstFrom = periods[0].ratings.from;
  const named = new Set(periods.flatMap(({ ratings }) => ratings.hundredPercentRated));
  for (const device of named) {
    if (!(PROTECTIVE_DEVICES as readonly string[]).includes(device)) add("unknown-device", { device });
  }
  if (firstDayMs < clock.dateStartMs(firstFrom)) add("before-first-rating", { from: firstFrom });
  for (const change of intervals) {
    add("interval-changed", { fromMs: change.fromMs, intervalS: change.nominalMs / 1000 });
  }
  // Without the meters there is nothing that could disagree.
  const balanced = present.grid || (present.solar && present.battery);
  for (const { date, lossesWh, suppliedWh } of balanced ? balances : []) {
    if (suppliedWh > 0 && Math.abs(lossesWh) > settings.lossNoteShare * suppliedWh) {
      add("meters-disagree", { date, lossesWh, suppliedWh, lossNoteShare: settings.lossNoteShare });
    }
  }
  return notes;
}
