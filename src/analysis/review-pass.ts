import { addBattery } from "./battery";
import {
  type BatteryDischargeState,
  closeBatteryDischarge,
  createBatteryDischargeState,
} from "./battery-discharges";
import type { PassedOver } from "./channels-of-loggers";
import { channelsPresent } from "./channels-present";
import {
  type ContinuousLoadState,
  closeContinuousLoad,
  createContinuousLoadState,
  findContinuousLoad,
} from "./continuous-load";
import { addCoverage, createGapState, findGaps, type GapState } from "./coverage";
import { type DayRecord, dayRecord } from "./day-record";
import { type DaySums, daySumsAt } from "./day-sums";
import { closeDemand, createDemandState, type DemandState, sumDemand } from "./demand";
import { deriveColumns } from "./derive-columns";
import { createEnergyShareState, type EnergyShareState, sumEnergyShares } from "./energy-shares";
import { createFound, type Found } from "./found";
import {
  appendHeldRows,
  appendRows,
  createFrame,
  dropRowsBefore,
  type Frame,
  firstRowAt,
  packFrame,
  unpackFrame,
} from "./frame";
import { createHoldState, type HoldState, settleHolds } from "./holds";
import { addImbalance, createImbalanceState, findImbalance, type ImbalanceState } from "./imbalance";
import { addLegDensity } from "./leg-density";
import { addLegVoltage } from "./leg-voltage";
import { addLoadDuration } from "./load-duration";
import {
  createLoadingCalendarState,
  fillLoadingCalendar,
  type LoadingCalendarState,
} from "./loading-calendar";
import { createLocalClock } from "./local-time";
import { lookBackS } from "./look-back";
import { createNearLimitState, findNearLimit, type NearLimitState } from "./near-limit";
import {
  closeOpenNeutral,
  createOpenNeutralState,
  findOpenNeutral,
  type OpenNeutralState,
} from "./open-neutral";
import type { Ratings } from "./ratings";
import { ratingsAt, ratingsPeriods } from "./ratings-in-force";
import type { Quantity } from "./results";
import { NUMERIC_CHANNELS, type NumericChannel, type Series } from "./series";
import type { Settings } from "./settings";
import { createSourceState, type SourceState, settleSources } from "./settle-sources";
import { createTransferState, findTransfers, oldestWaitingRow, type TransferState } from "./transfers";
import {
  createUnionState,
  endInUnion,
  packUnion,
  pushToUnion,
  settleUnion,
  takeIntervals,
  type UnionLogger,
  type UnionState,
  unionNominalMs,
  unionWaits,
  unpackUnion,
} from "./union-loggers";

/** What a pass is told before the first sample. */
export type PassOptions = {
  /** IANA zone of the site. */
  readonly zone: string;
  readonly ratings: readonly Ratings[];
  readonly settings: Settings;
  /** Numeric channels that the logs have between them; one that no log has counts as absent (D2). */
  readonly channels: readonly NumericChannel[];
  readonly hasSource: boolean;
  readonly hasFault: boolean;
  /**
   * Where the site has several loggers: what counts of each, in order of precedence (`channelsOfLoggers`); between
   * them they give the channels above. Absent with one.
   */
  readonly loggers?: readonly (UnionLogger & { readonly name: string })[];
  /** Channels that one logger has and another one gives, for the notes. */
  readonly passedOver?: readonly PassedOver[];
  /** First finite SOC of the history in %, where the caller knows it beforehand. */
  readonly firstSocPct?: number | null;
  /** Where an earlier pass over the samples before stood, as `keep()` gave it. */
  readonly state?: PassState;
};

/** Everything that a pass carries from chunk to chunk: plain data, fit for structured cloning. */
export type PassState = {
  frame: Frame;
  holds: HoldState;
  sources: SourceState;
  gaps: GapState;
  nearLimit: NearLimitState[];
  transfers: TransferState;
  shares: EnergyShareState;
  calendar: LoadingCalendarState;
  imbalance: ImbalanceState;
  continuousLoad: ContinuousLoadState;
  openNeutral: OpenNeutralState;
  demand: DemandState;
  discharge: BatteryDischargeState;
  /** Local days to which later rows may still add. */
  days: DaySums[];
  /** Samples of several loggers on their way into one series; null with one. */
  union: UnionState | null;
};

/** A running pass over the samples. */
export type ReviewPass = {
  /**
   * Takes the next samples, in ascending time. The series' arrays may be used again afterwards. Of several
   * loggers each comes in its own order and may be ahead of the others.
   *
   * @param logger index in `loggers`, 0 where there is one
   */
  push(series: Series, logger?: number): void;
  /** No more samples of that one of several loggers come: the others need not wait for it. */
  endLogger(logger: number): void;
  /** Of several loggers: how many samples wait, and for samples of which logger; null where of none. */
  waits(): { waiting: number; forLogger: number | null };
  /** No more samples come: finishes whatever is under way. */
  end(): void;
  /** Hands over what is finished since the last call. */
  take(): Found;
  /**
   * Where the pass stands, for one that goes on later: of a size that doesn't grow with the history. It is to
   * be serialised before the next push, which changes it. What is finished must have been taken before. Two
   * passes over the same rows keep the same.
   *
   * @throws RangeError where something finished was not taken.
   */
  keep(): PassState;
  /** The logger's nominal interval, ms; NaN while it isn't known. Of several, that of the one that gives the load. */
  nominalMs(): number;
  /**
   * The SOC that the pass must be run again with as `firstSocPct`, null for none: where the battery's stock
   * had to begin before any SOC was known, definitions D10 want it to begin with the first one there is.
   * Undefined where the pass was right.
   */
  otherFirstSocPct(): number | null | undefined;
};

/** Rows that go through the stages at a time: small enough to stay in the processor's cache. */
const BLOCK_ROWS = 4096;
const BATTERY_CHANNELS = ["batteryA", "batteryV", "batteryW", "batterySocPct"] as const;
const QUANTITIES: readonly Quantity[] = ["total", "L1", "L2", "pass-through"];

/**
 * The pass over samples: everything of definitions D1 to D11 that is found row by row, in chunks of any size,
 * with the same findings to the bit whatever the chunks.
 *
 * @throws RangeError for ratings that are empty, a zone that doesn't exist, times that don't ascend.
 */
export function createReviewPass(options: PassOptions): ReviewPass {
  const clock = createLocalClock(options.zone);
  const periods = ratingsPeriods(options.ratings, clock);
  const ratingsOf = (atMs: number) => ratingsAt(periods, atMs);
  const { settings } = options;
  const firstSocPct = options.firstSocPct ?? null;
  const channels = NUMERIC_CHANNELS.filter((channel) => options.channels.includes(channel));
  const present = channelsPresent(channels, options.hasSource, options.hasFault);
  const hasVolts = channels.includes("loadL1V") || channels.includes("loadL2V");
  const hasBattery = BATTERY_CHANNELS.some((channel) => channels.includes(channel));
  const lookBack = lookBackS(periods, settings);
  const state: PassState =
    options.state === undefined
      ? {
          frame: createFrame(channels, BLOCK_ROWS * 2),
          holds: createHoldState(),
          sources: createSourceState(),
          gaps: createGapState(),
          nearLimit: QUANTITIES.map(createNearLimitState),
          transfers: createTransferState(),
          shares: createEnergyShareState(),
          calendar: createLoadingCalendarState(),
          imbalance: createImbalanceState(),
          continuousLoad: createContinuousLoadState(),
          openNeutral: createOpenNeutralState(),
          demand: createDemandState(),
          discharge: createBatteryDischargeState(),
          days: [],
          union:
            options.loggers !== undefined && options.loggers.length > 1
              ? createUnionState(options.loggers)
              : null,
        }
      : {
          ...options.state,
          frame: unpackFrame(options.state.frame, options.state.frame.count + 2048),
          union: options.state.union === null ? null : unpackUnion(options.state.union),
        };
  const { frame, union } = state;
  if (union !== null) frame.holdsGiven = true;
  const finishedDays: DayRecord[] = [];

  function run(last: boolean): void {
    if (!frame.holdsGiven) settleHolds(frame, state.holds, last);
    const from = frame.sourced;
    settleSources(frame, state.sources, present, ratingsOf, settings, last);
    const to = frame.sourced;
    if (from === to) return;
    for (let start = from; start < to; ) {
      const day = dayOf(frame.timesMs[start]);
      const end = Math.min(to, firstRowAt(frame, day.toMs));
      runDay(day, start, end);
      start = end;
    }
    for (const one of state.nearLimit) {
      const [loading, values] = columnsOf(one.quantity);
      findNearLimit(frame, loading, values, one, ratingsOf, settings, from, to);
    }
    findTransfers(frame, state.transfers, ratingsOf, settings, from, to);
    fillLoadingCalendar(frame, state.calendar, clock, from, to);
    findGaps(frame, state.gaps, from, to);
    frame.done = to;
    finishDays(frame.timesMs[to - 1]);
    forget();
  }

  /** The stages that want the ratings in force, over rows whose samples lie in one local day. */
  function runDay(day: DaySums, from: number, to: number): void {
    const ratings = ratingsOf(frame.timesMs[from]);
    deriveColumns(frame, present, ratings, settings, day.counts, from, to);
    sumEnergyShares(frame, state.shares, ratings, clock, firstSocPct, from, to);
    findImbalance(frame, state.imbalance, ratings, settings, from, to);
    findContinuousLoad(frame, state.continuousLoad, ratings, from, to);
    if (hasVolts) findOpenNeutral(frame, state.openNeutral, ratings, settings, from, to);
    day.coverage.samples += to - from;
    if (Number.isNaN(day.coverage.firstMs)) day.coverage.firstMs = frame.timesMs[from];

    // The last sample may stand beyond the day's end: what lies there counts in the days after.
    const row = to - 1;
    const atMs = frame.timesMs[row];
    const heldS = frame.holdS[row];
    const endMs = atMs + heldS * 1000;
    if (endMs <= day.toMs) {
      addToDay(day, ratings, from, to, false);
      return;
    }
    frame.holdS[row] = (day.toMs - atMs) / 1000;
    addToDay(day, ratings, from, to, false);
    for (let fromMs = day.toMs; fromMs < endMs; ) {
      const later = dayOf(fromMs);
      const untilMs = Math.min(later.toMs, endMs);
      frame.timesMs[row] = fromMs;
      frame.holdS[row] = (untilMs - fromMs) / 1000;
      addToDay(later, ratings, row, to, true);
      fromMs = untilMs;
    }
    frame.timesMs[row] = atMs;
    frame.holdS[row] = heldS;
  }

  /**
   * The sums of one local day, over rows with the part of their hold that lies in it.
   *
   * @param carried true where the row is a sample of an earlier day that still stands in this one
   */
  function addToDay(day: DaySums, ratings: Ratings, from: number, to: number, carried: boolean): void {
    addCoverage(frame, day.coverage, from, to);
    addImbalance(frame, day.imbalance, ratings, settings, from, to);
    sumDemand(frame, state.demand, day.demand, ratings, settings, clock, from, to);
    addLoadDuration(frame, day.load, from, to);
    addLegDensity(frame, day.legs, ratings, from, to);
    if (hasVolts) addLegVoltage(frame, day.voltage, ratings, from, to, carried);
    if (hasBattery) {
      addBattery(frame, state.discharge, day.battery, present, day, ratings, clock, from, to, carried);
    }
  }

  /** The day that holds an instant; where it is a new one, the one before is closed. */
  function dayOf(atMs: number): DaySums {
    const before = state.days[state.days.length - 1];
    const day = daySumsAt(state.days, clock, atMs);
    if (before !== undefined && before !== day) closeDay(before);
    return day;
  }

  function closeDay(day: DaySums): void {
    closeDemand(state.demand, day.demand, ratingsOf(day.fromMs), settings, clock);
  }

  function columnsOf(quantity: Quantity): [loading: Float64Array, values: Float64Array] {
    const { derived } = frame;
    if (quantity === "total") return [derived.totalLoading, derived.totalW];
    if (quantity === "L1") return [derived.l1Loading, derived.l1W];
    if (quantity === "L2") return [derived.l2Loading, derived.l2W];
    return [derived.passThroughLoading, derived.passThroughA];
  }

  /** Hands over the days that no later row can add to: those that end by the time of the last row. */
  function finishDays(lastMs: number): void {
    while (state.days.length > 0 && state.days[0].toMs <= lastMs) {
      finishedDays.push(
        dayRecord(
          state.days.shift() as DaySums,
          state.shares.days.shift() as EnergyShareState["days"][number],
          state.calendar.days.shift() as LoadingCalendarState["days"][number],
        ),
      );
    }
  }

  /** Keeps what causes may still look back at. */
  function forget(): void {
    const last = frame.done - 1;
    const reachMs = (row: number) => frame.timesMs[row] - Math.max(lookBack * 1000, 3 * frame.deltaMs[row]);
    let keepFromMs = reachMs(last);
    const waiting = oldestWaitingRow(state.transfers);
    if (waiting !== null) keepFromMs = Math.min(keepFromMs, reachMs(waiting - frame.base));
    // One row more: a cause asks for the sample before its window.
    dropRowsBefore(frame, Math.min(firstRowAt(frame, keepFromMs) - 2, last));
  }

  /** Takes what is final of several loggers' samples. */
  function takeUnion(several: UnionState, last: boolean): void {
    const rows = settleUnion(several, last);
    if (rows === null) return;
    for (let from = 0; from < rows.timesMs.length; from += BLOCK_ROWS) {
      appendHeldRows(frame, rows, from, Math.min(from + BLOCK_ROWS, rows.timesMs.length));
      run(false);
    }
  }

  return {
    push(series, logger = 0) {
      if (union !== null) {
        pushToUnion(union, logger, series);
        takeUnion(union, false);
        return;
      }
      for (let from = 0; from < series.timesMs.length; from += BLOCK_ROWS) {
        appendRows(frame, series, from, Math.min(from + BLOCK_ROWS, series.timesMs.length));
        run(false);
      }
    },
    endLogger(logger) {
      if (union === null) return;
      endInUnion(union, logger);
      takeUnion(union, false);
    },
    waits: () => (union === null ? { waiting: 0, forLogger: null } : unionWaits(union)),
    end() {
      if (union !== null) takeUnion(union, true);
      run(true);
      const last = state.days[state.days.length - 1];
      if (last !== undefined) {
        closeDay(last);
        closeBatteryDischarge(state.discharge, last.battery.discharges);
      }
      closeContinuousLoad(state.continuousLoad);
      closeOpenNeutral(state.openNeutral);
      finishDays(Number.POSITIVE_INFINITY);
    },
    take() {
      const found = createFound();
      found.days = finishedDays.splice(0);
      // The last hour may still grow; after the end there is none that could.
      const hours = state.calendar.hours;
      found.hours = hours.splice(0, state.days.length === 0 ? hours.length : Math.max(0, hours.length - 1));
      found.transfers = state.transfers.transfers.splice(0);
      found.dropouts = state.transfers.dropouts.splice(0);
      found.nearLimit = state.nearLimit.flatMap((one) => one.found.splice(0));
      found.imbalance = state.imbalance.found.splice(0);
      found.continuousLoad = state.continuousLoad.found.splice(0);
      found.openNeutral = state.openNeutral.found.splice(0);
      found.gaps = state.gaps.found.splice(0);
      found.intervals = union === null ? state.holds.segments.splice(0) : takeIntervals(union);
      return found;
    },
    keep() {
      if (finishedDays.length > 0 || state.transfers.transfers.length > 0) {
        throw new RangeError("keep requires that what is finished has been taken");
      }
      const packed = packFrame(frame);
      const base = frame.base;
      const still = <P extends { row: number }>(pending: readonly P[]) =>
        pending.map((one) => ({ ...one, row: one.row - base }));
      return {
        ...state,
        frame: packed,
        union: union === null ? null : packUnion(union),
        transfers: {
          ...state.transfers,
          pendingTransfers: still(state.transfers.pendingTransfers),
          pendingDropouts: still(state.transfers.pendingDropouts),
        },
      };
    },
    nominalMs: () => (union === null ? state.holds.nominalMs : unionNominalMs(union)),
    otherFirstSocPct() {
      if (!state.shares.beganWithoutSoc) return undefined;
      const first = Number.isNaN(state.shares.firstSocPct) ? null : state.shares.firstSocPct;
      return first === firstSocPct ? undefined : first;
    },
  };
}
