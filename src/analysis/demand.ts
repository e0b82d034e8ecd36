import type { Frame } from "./frame";
import type { Demand } from "./results";
import type { Settings } from "./settings";

/** Length of a demand interval (definitions D11). Every zone's offset is a multiple of it. */
const INTERVAL_MS = 900_000;

/** What the detector carries from chunk to chunk. */
export type DemandState = {
  /** Interval that is being summed, as a count of intervals since 1970; NaN before the first row. */
  interval: number;
  /** Watt-seconds and held seconds of the total, L1 and L2: a typed array, since every sample adds to them. */
  sums: Float64Array;
  peakW: number;
  peakAtMs: number;
  heavierLegPeakA: number;
  /** Intervals that count, and the sum of their means. */
  intervals: number;
  sumW: number;
};

/** The state before the first row. */
export function createDemandState(): DemandState {
  return {
    interval: Number.NaN,
    sums: new Float64Array(6),
    peakW: Number.NaN,
    peakAtMs: Number.NaN,
    heavierLegPeakA: Number.NaN,
    intervals: 0,
    sumW: 0,
  };
}

/**
 * Demand over rows `from` to `to` (definitions D11): time-weighted mean load of clock-aligned 15-minute
 * intervals, of the total and of each leg. A hold over the edge of an interval counts on each side; a missing
 * load counts in no mean and lowers the interval's coverage.
 *
 * @param legNominalV volts that a leg's watts are divided by for amperes
 */
export function sumDemand(
  frame: Frame,
  state: DemandState,
  legNominalV: number,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS } = frame;
  const { totalW, l1W, l2W } = frame.derived;
  const { sums } = state;
  let edgeMs = (state.interval + 1) * INTERVAL_MS;
  for (let row = from; row < to; row++) {
    let atMs = timesMs[row];
    const endMs = atMs + holdS[row] * 1000;
    const total = totalW[row];
    const l1 = l1W[row];
    const l2 = l2W[row];
    for (;;) {
      if (!(atMs < edgeMs)) {
        closeDemand(state, legNominalV, settings);
        state.interval = Math.floor(atMs / INTERVAL_MS);
        edgeMs = (state.interval + 1) * INTERVAL_MS;
      }
      const untilMs = Math.min(endMs, edgeMs);
      const heldS = (untilMs - atMs) / 1000;
      if (!Number.isNaN(total)) {
        sums[0] += total * heldS;
        sums[1] += heldS;
      }
      if (!Number.isNaN(l1)) {
        sums[2] += l1 * heldS;
        sums[3] += heldS;
      }
      if (!Number.isNaN(l2)) {
        sums[4] += l2 * heldS;
        sums[5] += heldS;
      }
      if (untilMs >= endMs) break;
      atMs = untilMs;
    }
  }
}

/** Takes the interval under way into the results, if enough of it is covered. */
export function closeDemand(state: DemandState, legNominalV: number, settings: Settings): void {
  const leastS = (settings.demandCoverage * INTERVAL_MS) / 1000;
  const [total, totalHeldS, l1, l1HeldS, l2, l2HeldS] = state.sums;
  state.sums.fill(0);
  if (totalHeldS >= leastS) {
    const mean = total / totalHeldS;
    state.intervals++;
    state.sumW += mean;
    if (!(mean <= state.peakW)) {
      state.peakW = mean;
      state.peakAtMs = state.interval * INTERVAL_MS;
    }
  }
  const amps = Math.max(
    l1HeldS >= leastS ? l1 / l1HeldS / legNominalV : Number.NEGATIVE_INFINITY,
    l2HeldS >= leastS ? l2 / l2HeldS / legNominalV : Number.NEGATIVE_INFINITY,
  );
  if (amps > Number.NEGATIVE_INFINITY && !(amps <= state.heavierLegPeakA)) state.heavierLegPeakA = amps;
}

/** Peak demand, load factor and the heavier leg's peak; null where no interval counts. */
export function demandOf(state: DemandState, recordDays: number): Demand | null {
  if (state.intervals === 0) return null;
  return {
    peakW: state.peakW,
    peakAtMs: state.peakAtMs,
    heavierLegPeakA: Number.isNaN(state.heavierLegPeakA) ? null : state.heavierLegPeakA,
    loadFactor: state.peakW > 0 ? state.sumW / state.intervals / state.peakW : null,
    recordDays,
  };
}
