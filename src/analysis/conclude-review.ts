import { type ChannelsPresent, channelsPresent } from "./channels-present";
import { coverageOf, createCoverageSums, mergeCoverage } from "./coverage";
import { decideCauses } from "./decide-causes";
import { type DemandState, demandOf } from "./demand";
import { createDeriveCounts, type DeriveCounts } from "./derive-columns";
import { addShares, zeroShares } from "./energy-shares";
import type { Found } from "./found";
import { createImbalanceSums, imbalanceOf, mergeImbalance } from "./imbalance";
import { createLocalClock } from "./local-time";
import { ratingsAt, ratingsPeriods } from "./ratings-in-force";
import type { NearLimitInterval, Note, ReturnDelay, ReviewResult } from "./results";
import { returnDelay } from "./return-delay";
import type { PassOptions } from "./review-pass";
import { type FaultWord, NUMERIC_CHANNELS, type NumericChannel } from "./series";

/** What concluding needs to know beside what was found. */
export type ConcludeOptions = Omit<PassOptions, "state" | "firstSocPct"> & {
  readonly faultWords: readonly FaultWord[];
  /** The logger's nominal interval, ms; NaN where there is none. */
  readonly nominalMs: number;
  readonly demand: DemandState;
};

/**
 * The second pass: what looks across days (causes by the clock, repeats, the return delay, notes, totals), from
 * the events and days that the pass over samples found. They are few, and it is run whole.
 *
 * @param found everything found in the history, each list in the order in which it was found
 */
export function concludeReview(found: Found, options: ConcludeOptions): ReviewResult {
  const clock = createLocalClock(options.zone);
  const periods = ratingsPeriods(options.ratings, clock);
  const channels = NUMERIC_CHANNELS.filter((channel) => options.channels.includes(channel));
  const present = channelsPresent(channels, options.hasSource, options.hasFault);
  const dates = new Set(found.days.filter((day) => day.samples > 0).map((day) => day.date));
  const causes = decideCauses(found.transfers, found.dropouts, {
    clock,
    settings: options.settings,
    ratingsOf: (atMs) => ratingsAt(periods, atMs),
    faultWords: options.faultWords,
    dates,
  });
  const delay = returnDelay(found.transfers, causes.transfers);
  const total = zeroShares();
  const coverage = createCoverageSums();
  const imbalance = createImbalanceSums();
  const counts = createDeriveCounts();
  for (const day of found.days) {
    addShares(total, day.shares);
    mergeCoverage(coverage, day.sums.coverage);
    mergeImbalance(imbalance, day.sums.imbalance);
    for (const key of Object.keys(counts) as (keyof DeriveCounts)[]) counts[key] += day.sums.counts[key];
  }
  const longest = found.nearLimit.reduce((most, one) => Math.max(most, one.longestOnInverterS), 0);
  return {
    coverage: coverageOf(coverage, found.gaps, options.nominalMs),
    nearLimit: [...found.nearLimit].sort(byTime),
    transfers: causes.transfers,
    dropouts: causes.dropouts,
    days: found.days,
    hours: found.hours,
    total,
    longestRunHeldS: longest > 0 ? longest : null,
    returnDelay: delay,
    imbalance: present.legs ? imbalanceOf(imbalance, found.imbalance) : null,
    demand: demandOf(options.demand, dates.size),
    notes: notesOf(found, options, present, counts, delay, periods[periods.length - 1].ratings.returnDelayS),
  };
}

function byTime(a: NearLimitInterval, b: NearLimitInterval): number {
  // Among equal beginnings the order is that of ties in D0, reversed for the legs first as people read them.
  return a.fromMs - b.fromMs || ORDER[a.quantity] - ORDER[b.quantity];
}

const ORDER = { L1: 0, L2: 1, total: 2, "pass-through": 3 } as const;

function notesOf(
  found: Found,
  options: ConcludeOptions,
  present: ChannelsPresent,
  counts: DeriveCounts,
  delay: ReturnDelay,
  returnDelayS: number | undefined,
): Note[] {
  const { settings, channels } = options;
  const notes: Note[] = [];
  const add = (code: string, figures: Note["figures"] = {}) => notes.push({ code, figures });
  const has = (channel: NumericChannel) => channels.includes(channel);
  if (!present.load) add("no-load");
  else if (!present.legs) add("no-legs");
  if (!present.source) add(present.grid ? "source-from-grid" : "no-source");
  if (!present.solar) add("no-solar");
  if (!present.battery) add(has("batteryA") ? "battery-no-volts" : "no-battery");
  if (!present.grid) add("grid-from-balance");
  if ((has("loadL1A") && !has("loadL1W")) || (has("loadL2A") && !has("loadL2W"))) add("power-factor-one");
  if (counts.totalApartS > 86_400) {
    add("total-disagrees", { apartS: counts.totalApartS, totalDisagreement: settings.totalDisagreement });
  }
  if (counts.negativeLoadRows > 0) add("negative-load", { samples: counts.negativeLoadRows });
  if (counts.blendingRows > 0) {
    add("blending", { samples: counts.blendingRows, legsUnknown: counts.blendingUnknownRows });
  }
  const toleranceS = Math.max(30, (2 * options.nominalMs) / 1000);
  if (
    delay.medianS !== null &&
    returnDelayS !== undefined &&
    Math.abs(delay.medianS - returnDelayS) > toleranceS
  ) {
    add("return-delay-differs", { medianS: delay.medianS, returnDelayS, n: delay.n });
  }
  const clock = createLocalClock(options.zone);
  const firstFrom = [...options.ratings].sort((a, b) => (a.from < b.from ? -1 : 1))[0].from;
  const firstMs = found.days[0]?.sums.coverage.firstMs ?? Number.NaN;
  if (firstMs < clock.dateStartMs(firstFrom)) add("before-first-rating", { from: firstFrom });
  for (const change of found.intervals) {
    add("interval-changed", { fromMs: change.fromMs, intervalS: change.nominalMs / 1000 });
  }
  // Without the meters there is nothing that could disagree.
  const balanced = present.grid || (present.solar && present.battery);
  for (const day of balanced ? found.days : []) {
    const { lossesWh, suppliedWh } = day.shares;
    if (suppliedWh > 0 && Math.abs(lossesWh) > settings.lossNoteShare * suppliedWh) {
      add("meters-disagree", { date: day.date, lossesWh, suppliedWh, lossNoteShare: settings.lossNoteShare });
    }
  }
  return notes;
}
