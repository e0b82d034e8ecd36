import { addToDistribution, createDistribution, type Distribution, mergeDistribution } from "./distribution";
import type { Frame } from "./frame";
import type { Ratings } from "./ratings";
import type { Evidenced, Imbalance, ImbalanceInterval } from "./results";
import type { Settings } from "./settings";

/** Width of a bin of neutral current, A. */
const NEUTRAL_BIN_A = 0.5;

/** A run of imbalance, open or waiting to be joined with the next. */
type Run = {
  fromMs: number;
  toMs: number;
  maxDifferenceW: number;
  maxDifferenceAtMs: number;
  intervalS: number;
  l1WattSeconds: number;
  l2WattSeconds: number;
};

/** What the detector of intervals carries from chunk to chunk. */
export type ImbalanceState = {
  open: boolean;
  run: Run | null;
  /** Sums since the run closed, to be added if the next run joins it. */
  between: Run | null;
  found: ImbalanceInterval[];
};

/** Imbalance of one local day, or of days added together; NaN where no sample gives a figure. */
export type ImbalanceSums = {
  /** Seconds, and share · seconds, of holds with at least imbalanceShareFloor of the total limit. */
  shareHeldS: number;
  shareSeconds: number;
  maxNeutralA: number;
  maxNeutralAtMs: number;
  /** Held time by neutral current. */
  neutral: Distribution;
  /** Greatest total load with both legs known, and what of the total limit could not be used at its split. */
  peakTotalW: number;
  strandedAtPeakW: number;
  strandedHeldS: number;
  strandedWattSeconds: number;
};

/** The state before the first row. */
export function createImbalanceState(): ImbalanceState {
  return { open: false, run: null, between: null, found: [] };
}

/** Sums of a day without samples. */
export function createImbalanceSums(): ImbalanceSums {
  return {
    shareHeldS: 0,
    shareSeconds: 0,
    maxNeutralA: Number.NaN,
    maxNeutralAtMs: Number.NaN,
    neutral: createDistribution(NEUTRAL_BIN_A),
    peakTotalW: Number.NaN,
    strandedAtPeakW: Number.NaN,
    strandedHeldS: 0,
    strandedWattSeconds: 0,
  };
}

/**
 * Imbalance intervals over rows `from` to `to`, for which `ratings` count (definitions D9): they open where
 * the legs differ by a quarter of a leg's limit while one of them is loaded. Rows with a missing leg close an
 * interval. Finished intervals are appended to `state.found`.
 */
export function findImbalance(
  frame: Frame,
  state: ImbalanceState,
  ratings: Ratings,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, deltaMs, gapAfter } = frame;
  const { l1W, l2W, l1Loading, l2Loading } = frame.derived;
  const enterW = settings.imbalanceEnter * ratings.legLimitW;
  const leaveW = settings.imbalanceLeave * ratings.legLimitW;
  const { imbalanceLoadEnter, imbalanceLoadLeave } = settings;
  const joinMs = settings.imbalanceJoinS * 1000;
  for (let row = from; row < to; row++) {
    const l1 = l1W[row];
    const l2 = l2W[row];
    const difference = Math.abs(l1 - l2);
    if (state.run === null && !(difference >= enterW)) continue;
    const loading1 = l1Loading[row];
    const loading2 = l2Loading[row];
    // NaN where either is: an unknown loading neither opens nor keeps open.
    const larger = loading1 >= loading2 ? loading1 : loading2 > loading1 ? loading2 : Number.NaN;
    const opens = difference >= enterW && larger >= imbalanceLoadEnter;
    if (state.run === null && !opens) continue;
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (Number.isNaN(difference) || Number.isNaN(larger)) {
      finish(state, settings);
      continue;
    }
    if (state.open) {
      if (difference < leaveW || larger < imbalanceLoadLeave) {
        state.open = false;
        state.between = createRun(atMs);
      }
    } else if (opens) {
      if (state.run !== null && state.between !== null && atMs - state.run.toMs < joinMs) {
        if (state.between.maxDifferenceW > state.run.maxDifferenceW) {
          state.run.maxDifferenceW = state.between.maxDifferenceW;
          state.run.maxDifferenceAtMs = state.between.maxDifferenceAtMs;
          state.run.intervalS = state.between.intervalS;
        }
        state.run.l1WattSeconds += state.between.l1WattSeconds;
        state.run.l2WattSeconds += state.between.l2WattSeconds;
      } else {
        finish(state, settings);
        state.run = createRun(atMs);
      }
      state.between = null;
      state.open = true;
    }
    const into = state.open ? state.run : state.between;
    if (into !== null) {
      into.toMs = atMs + hold * 1000;
      if (difference > into.maxDifferenceW) {
        into.maxDifferenceW = difference;
        into.maxDifferenceAtMs = atMs;
        into.intervalS = deltaMs[row] / 1000;
      }
      into.l1WattSeconds += l1 * hold;
      into.l2WattSeconds += l2 * hold;
      if (state.between !== null && state.run !== null && state.between.toMs - state.run.toMs >= joinMs) {
        finish(state, settings);
      }
    }
    if (gapAfter[row] === 1) finish(state, settings);
  }
}

/**
 * Imbalance figures of rows `from` to `to`, which lie in one local day (definitions D9): the mean imbalance
 * share |L1 − L2| / (L1 + L2) [for two legs the form of NEMA MG 1, the greatest deviation from the mean over
 * the mean; applying it to two legs is ours], the neutral current of loads in phase, and the rating that the split
 * leaves unusable. Rows with a missing leg count in nothing.
 */
export function addImbalance(
  frame: Frame,
  sums: ImbalanceSums,
  ratings: Ratings,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS } = frame;
  const { l1W, l2W, totalW, l1Loading, l2Loading, neutralA } = frame.derived;
  const { legLimitW, totalLimitW } = ratings;
  const floorW = settings.imbalanceShareFloor * totalLimitW;
  const { imbalanceLoadEnter } = settings;
  let { shareHeldS, shareSeconds, maxNeutralA, peakTotalW, strandedHeldS, strandedWattSeconds } = sums;
  for (let row = from; row < to; row++) {
    const l1 = l1W[row];
    const l2 = l2W[row];
    const hold = holdS[row];
    const difference = Math.abs(l1 - l2);
    if (Number.isNaN(difference)) continue;
    const sum = l1 + l2;
    if (sum >= floorW && sum > 0) {
      shareHeldS += hold;
      shareSeconds += (difference / sum) * hold;
    }
    if (!(neutralA[row] <= maxNeutralA) && !Number.isNaN(neutralA[row])) {
      maxNeutralA = neutralA[row];
      sums.maxNeutralAtMs = timesMs[row];
    }
    const total = totalW[row];
    const atPeak = !(total <= peakTotalW) && !Number.isNaN(total);
    const loaded = l1Loading[row] >= imbalanceLoadEnter || l2Loading[row] >= imbalanceLoadEnter;
    if (loaded || atPeak) {
      const stranded = strandedOf(l1, l2, legLimitW, totalLimitW);
      if (atPeak) {
        peakTotalW = total;
        sums.strandedAtPeakW = stranded;
      }
      const known = !Number.isNaN(l1Loading[row]) && !Number.isNaN(l2Loading[row]);
      if (loaded && known && !Number.isNaN(stranded)) {
        strandedHeldS += hold;
        strandedWattSeconds += stranded * hold;
      }
    }
  }
  sums.shareHeldS = shareHeldS;
  sums.shareSeconds = shareSeconds;
  sums.maxNeutralA = maxNeutralA;
  sums.peakTotalW = peakTotalW;
  sums.strandedHeldS = strandedHeldS;
  sums.strandedWattSeconds = strandedWattSeconds;
  addToDistribution(sums.neutral, neutralA, holdS, from, to);
}

/** Adds a later day to the sums of the days before it. */
export function mergeImbalance(into: ImbalanceSums, more: ImbalanceSums): void {
  into.shareHeldS += more.shareHeldS;
  into.shareSeconds += more.shareSeconds;
  if (!(more.maxNeutralA <= into.maxNeutralA) && !Number.isNaN(more.maxNeutralA)) {
    into.maxNeutralA = more.maxNeutralA;
    into.maxNeutralAtMs = more.maxNeutralAtMs;
  }
  mergeDistribution(into.neutral, more.neutral);
  if (!(more.peakTotalW <= into.peakTotalW) && !Number.isNaN(more.peakTotalW)) {
    into.peakTotalW = more.peakTotalW;
    into.strandedAtPeakW = more.strandedAtPeakW;
  }
  into.strandedHeldS += more.strandedHeldS;
  into.strandedWattSeconds += more.strandedWattSeconds;
}

/** Imbalance of a period from its sums and the intervals that begin in it; null where the log can't tell. */
export function imbalanceOf(
  sums: ImbalanceSums,
  intervals: readonly Evidenced<ImbalanceInterval>[],
): Imbalance {
  const known = (value: number) => (Number.isNaN(value) ? null : value);
  return {
    intervals: [...intervals],
    meanShare: sums.shareHeldS > 0 ? sums.shareSeconds / sums.shareHeldS : null,
    maxNeutralA: known(sums.maxNeutralA),
    maxNeutralAtMs: known(sums.maxNeutralAtMs),
    strandedAtPeakW: known(sums.strandedAtPeakW),
    strandedMeanW: sums.strandedHeldS > 0 ? sums.strandedWattSeconds / sums.strandedHeldS : null,
  };
}

/** What of the total limit can't be used at this split of the legs, W; NaN where no leg has a load. */
function strandedOf(l1: number, l2: number, legLimitW: number, totalLimitW: number): number {
  const larger = Math.max(l1, l2);
  if (!(larger > 0)) return Number.NaN;
  return totalLimitW - Math.min(totalLimitW, (legLimitW * (l1 + l2)) / larger);
}

function createRun(fromMs: number): Run {
  return {
    fromMs,
    toMs: fromMs,
    maxDifferenceW: 0,
    maxDifferenceAtMs: fromMs,
    intervalS: 0,
    l1WattSeconds: 0,
    l2WattSeconds: 0,
  };
}

function finish(state: ImbalanceState, settings: Settings): void {
  const { run } = state;
  state.run = null;
  state.between = null;
  state.open = false;
  if (run === null) return;
  const durationS = (run.toMs - run.fromMs) / 1000;
  if (durationS < settings.imbalanceMinS) return;
  state.found.push({
    fromMs: run.fromMs,
    toMs: run.toMs,
    durationS,
    maxDifferenceW: run.maxDifferenceW,
    maxDifferenceAtMs: run.maxDifferenceAtMs,
    intervalS: run.intervalS,
    heavierLeg: run.l1WattSeconds >= run.l2WattSeconds ? "L1" : "L2",
  });
}
