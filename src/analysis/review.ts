import { channelsPresent } from "./channels-present";
import { addCoverage, type CoverageState, coverageOf, createCoverageState } from "./coverage";
import { decideCauses } from "./decide-causes";
import { closeDemand, createDemandState, type DemandState, demandOf, sumDemand } from "./demand";
import { createDeriveCounts, type DeriveCounts, deriveColumns } from "./derive-columns";
import {
  addShares,
  createEnergyShareState,
  type EnergyShareState,
  HELD_S,
  SAMPLES,
  SHARES_HELD_S,
  sharesOf,
  sumEnergyShares,
  zeroShares,
} from "./energy-shares";
import { appendRows, createFrame, dropRowsBefore, type Frame, firstRowAt } from "./frame";
import { createHoldState, type HoldState, settleHolds } from "./holds";
import { createImbalanceState, findImbalance, type ImbalanceState } from "./imbalance";
import {
  createLoadingCalendarState,
  fillLoadingCalendar,
  type LoadingCalendarState,
  type LoadingDay,
} from "./loading-calendar";
import { createLocalClock } from "./local-time";
import { createNearLimitState, findNearLimit, type NearLimitState } from "./near-limit";
import type { Ratings } from "./ratings";
import { ratingsAt, ratingsPeriods } from "./ratings-in-force";
import type {
  DayResult,
  Imbalance,
  NearLimitInterval,
  Note,
  Quantity,
  ReturnDelay,
  ReviewResult,
} from "./results";
import { returnDelay } from "./return-delay";
import { type FaultWord, NUMERIC_CHANNELS, type NumericChannel, type Series } from "./series";
import type { Settings } from "./settings";
import { createSourceState, type SourceState, settleSources } from "./settle-sources";
import { createTransferState, findTransfers, oldestWaitingRow, type TransferState } from "./transfers";

/** What a review is told before the first sample. */
export type ReviewOptions = {
  /** IANA zone of the site. */
  readonly zone: string;
  readonly ratings: readonly Ratings[];
  readonly settings: Settings;
  /** Numeric channels that the logs have between them; one that no log has counts as absent (D2). */
  readonly channels: readonly NumericChannel[];
  readonly hasSource: boolean;
  readonly hasFault: boolean;
  /** First finite SOC of the history in %, where the caller knows it beforehand. */
  readonly firstSocPct?: number | null;
  /** State of an earlier review over the samples before, as `state()` gave it. */
  readonly state?: ReviewState;
};

/** Everything that a review carries from chunk to chunk: plain data, fit for structured cloning. */
export type ReviewState = {
  frame: Frame;
  holds: HoldState;
  sources: SourceState;
  counts: DeriveCounts;
  coverage: CoverageState;
  nearLimit: NearLimitState[];
  transfers: TransferState;
  shares: EnergyShareState;
  calendar: LoadingCalendarState;
  imbalance: ImbalanceState;
  demand: DemandState;
  beforeRatings: boolean;
};

/** A running review. */
export type Review = {
  /** Takes the next samples, in ascending time. The series' arrays may be used again afterwards. */
  push(series: Series): void;
  /** The state as of now; not a copy. */
  state(): ReviewState;
  /**
   * Ends the review. `lateFirstSocPct` is a number where the battery's stock had to begin before any SOC was
   * known and one came later: definitions D10 want the review run again with it as `firstSocPct`.
   */
  finish(faultWords: readonly FaultWord[]): { result: ReviewResult; lateFirstSocPct: number | null };
};

/** Rows that go through the stages at a time: small enough to stay in the processor's cache. */
const BLOCK_ROWS = 4096;
const QUANTITIES: readonly Quantity[] = ["total", "L1", "L2", "pass-through"];

/**
 * The analysis of a history of samples: definitions D0 to D11 as far as results.ts goes, in chunks of any size, with the same
 * results to the bit whatever the chunks.
 *
 * @throws RangeError for ratings that are empty, a zone that doesn't exist, times that don't ascend.
 */
export function createReview(options: ReviewOptions): Review {
  const clock = createLocalClock(options.zone);
  const periods = ratingsPeriods(options.ratings, clock);
  const ratingsOf = (atMs: number) => ratingsAt(periods, atMs);
  const { settings } = options;
  const channels = NUMERIC_CHANNELS.filter((channel) => options.channels.includes(channel));
  const present = channelsPresent(channels, options.hasSource, options.hasFault);
  const firstRatingsMs = clock.dateStartMs(periods[0].ratings.from);
  const longestAllowanceS = Math.max(
    0,
    ...periods.flatMap((period) => period.ratings.overload.map((step) => step.forS)),
  );
  const state: ReviewState = options.state ?? {
    frame: createFrame(channels, BLOCK_ROWS * 2),
    holds: createHoldState(),
    sources: createSourceState(),
    counts: createDeriveCounts(),
    coverage: createCoverageState(),
    nearLimit: QUANTITIES.map(createNearLimitState),
    transfers: createTransferState(),
    shares: createEnergyShareState(),
    calendar: createLoadingCalendarState(),
    imbalance: createImbalanceState(),
    demand: createDemandState(),
    beforeRatings: false,
  };
  const { frame } = state;

  function run(last: boolean): void {
    settleHolds(frame, state.holds, last);
    const from = frame.sourced;
    settleSources(frame, state.sources, present, ratingsOf, settings, last);
    const to = frame.sourced;
    if (from === to) return;
    if (frame.timesMs[from] < firstRatingsMs) state.beforeRatings = true;
    let start = from;
    for (const period of periods) {
      const end = Math.min(to, firstRowAt(frame, period.untilMs));
      if (end <= start) continue;
      deriveColumns(frame, present, period.ratings, settings, state.counts, start, end);
      sumEnergyShares(frame, state.shares, period.ratings, clock, options.firstSocPct ?? null, start, end);
      findImbalance(frame, state.imbalance, period.ratings, settings, start, end);
      sumDemand(frame, state.demand, period.ratings.legNominalV, settings, start, end);
      start = end;
    }
    const { derived } = frame;
    for (const one of state.nearLimit) {
      const loading =
        one.quantity === "total"
          ? derived.totalLoading
          : one.quantity === "L1"
            ? derived.l1Loading
            : one.quantity === "L2"
              ? derived.l2Loading
              : derived.passThroughLoading;
      const values =
        one.quantity === "total"
          ? derived.totalW
          : one.quantity === "L1"
            ? derived.l1W
            : one.quantity === "L2"
              ? derived.l2W
              : derived.passThroughA;
      findNearLimit(frame, loading, values, one, settings, from, to);
    }
    findTransfers(frame, state.transfers, ratingsOf, settings, from, to);
    fillLoadingCalendar(frame, state.calendar, clock, from, to);
    addCoverage(frame, state.coverage, from, to);
    frame.done = to;
    forget();
  }

  /** Keeps what causes may still look back at. */
  function forget(): void {
    const last = frame.done - 1;
    const lookbackMs =
      Math.max(
        settings.transferLookbackS,
        settings.stackedWithinS,
        longestAllowanceS,
        (3 * frame.deltaMs[last]) / 1000,
      ) * 1000;
    let keepFromMs = frame.timesMs[last] - lookbackMs;
    const waiting = oldestWaitingRow(state.transfers);
    if (waiting !== null) keepFromMs = frame.timesMs[waiting - frame.base] - lookbackMs;
    // One row more: a cause asks for the sample before its window.
    dropRowsBefore(frame, Math.min(firstRowAt(frame, keepFromMs) - 2, last));
  }

  return {
    push(series) {
      for (let from = 0; from < series.timesMs.length; from += BLOCK_ROWS) {
        appendRows(frame, series, from, Math.min(from + BLOCK_ROWS, series.timesMs.length));
        run(false);
      }
    },
    state: () => state,
    finish(faultWords) {
      run(true);
      const lastMs = state.coverage.untilMs;
      closeDemand(state.demand, ratingsOf(Number.isNaN(lastMs) ? 0 : lastMs).legNominalV, settings);
      const days = joinDays(state, state.calendar.days);
      const dates = new Set(days.filter((day) => day.samples > 0).map((day) => day.date));
      const causes = decideCauses(state.transfers.transfers, state.transfers.dropouts, {
        clock,
        settings,
        ratingsOf,
        faultWords,
        dates,
      });
      const delay = returnDelay(state.transfers.transfers, causes.transfers);
      const total = zeroShares();
      for (const day of days) addShares(total, day.shares);
      const longest = Math.max(0, ...state.nearLimit.map((one) => one.longestRunHeldS));
      const late = state.shares.beganWithoutSoc && !Number.isNaN(state.shares.firstSocPct);
      return {
        result: {
          coverage: coverageOf(state.coverage, state.holds.nominalMs),
          nearLimit: state.nearLimit.flatMap((one) => one.found).sort(byTime),
          transfers: causes.transfers,
          dropouts: causes.dropouts,
          days,
          hours: state.calendar.hours,
          total,
          longestRunHeldS: longest > 0 ? longest : null,
          returnDelay: delay,
          imbalance: present.legs ? imbalanceOf(state.imbalance) : null,
          demand: demandOf(state.demand, dates.size),
          notes: notesOf(delay),
        },
        lateFirstSocPct: late ? state.shares.firstSocPct : null,
      };
    },
  };

  function notesOf(delay: ReturnDelay): Note[] {
    const notes: Note[] = [];
    const { counts } = state;
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
    const { returnDelayS } = periods[periods.length - 1].ratings;
    const toleranceS = Math.max(30, (2 * state.holds.nominalMs) / 1000);
    if (
      delay.medianS !== null &&
      returnDelayS !== undefined &&
      Math.abs(delay.medianS - returnDelayS) > toleranceS
    ) {
      add("return-delay-differs", { medianS: delay.medianS, returnDelayS, n: delay.n });
    }
    if (state.beforeRatings) add("before-first-rating", { from: periods[0].ratings.from });
    for (const segment of state.holds.segments) {
      add("interval-changed", { fromMs: segment.fromMs, intervalS: segment.nominalMs / 1000 });
    }
    // Without the meters there is nothing that could disagree.
    const balanced = present.grid || (present.solar && present.battery);
    for (const day of balanced ? state.shares.days : []) {
      const { lossesWh, suppliedWh } = sharesOf(day.sums);
      if (suppliedWh > 0 && Math.abs(lossesWh) > settings.lossNoteShare * suppliedWh) {
        add("meters-disagree", {
          date: day.date,
          lossesWh,
          suppliedWh,
          lossNoteShare: settings.lossNoteShare,
        });
      }
    }
    return notes;
  }
}

function imbalanceOf(state: ImbalanceState): Imbalance {
  const known = (value: number) => (Number.isNaN(value) ? null : value);
  return {
    intervals: state.found,
    meanShare: state.shareHeldS > 0 ? state.shareSeconds / state.shareHeldS : null,
    maxNeutralA: known(state.maxNeutralA),
    strandedAtPeakW: known(state.strandedAtPeakW),
    strandedMeanW: state.strandedHeldS > 0 ? state.strandedWattSeconds / state.strandedHeldS : null,
  };
}

function byTime(a: NearLimitInterval, b: NearLimitInterval): number {
  // Among equal beginnings the order is that of ties in D0, reversed for the legs first as people read them.
  return a.fromMs - b.fromMs || ORDER[a.quantity] - ORDER[b.quantity];
}

const ORDER = { L1: 0, L2: 1, total: 2, "pass-through": 3 } as const;

function joinDays(state: ReviewState, loading: readonly LoadingDay[]): DayResult[] {
  return state.shares.days.map(({ sums, ...day }, i) => {
    const { onS, ...peaks } = loading[i];
    const known = (value: number) => (value === Number.NEGATIVE_INFINITY ? null : value);
    let peakLoading: number | null = null;
    let peakQuantity: Quantity | null = null;
    let peakAtMs: number | null = null;
    const raise = (quantity: Quantity, value: number, atMs: number) => {
      if (value > (peakLoading ?? Number.NEGATIVE_INFINITY)) {
        peakLoading = value;
        peakQuantity = quantity;
        peakAtMs = atMs;
      }
    };
    raise("total", peaks.peakTotal, peaks.peakTotalAtMs);
    raise("L1", peaks.peakL1, peaks.peakL1AtMs);
    raise("L2", peaks.peakL2, peaks.peakL2AtMs);
    return {
      ...day,
      samples: sums[SAMPLES],
      heldS: sums[HELD_S],
      sharesHeldS: sums[SHARES_HELD_S],
      shares: sharesOf(sums),
      onS: { unknown: onS[0], inverter: onS[1], utility: onS[2], generator: onS[3], none: onS[4] },
      peakLoading,
      peakQuantity,
      peakAtMs,
      peakLoadingL1: known(peaks.peakL1),
      peakLoadingL2: known(peaks.peakL2),
      peakLoadingTotal: known(peaks.peakTotal),
    };
  });
}
