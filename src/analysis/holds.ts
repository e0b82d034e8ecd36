import type { Frame } from "./frame";

/** How many samples the nominal interval is taken from (definitions D1). */
const FIRST_SAMPLES = 1000;
/** How many differences in a row make a new segment (definitions D1). */
const SEGMENT_DIFFERENCES = 100;
/** A difference longer than this many nominal intervals is a gap (definitions D1). */
const GAP_INTERVALS = 3;
const MUCH = 1.5;

/** What the hold stage carries from chunk to chunk. */
export type HoldState = {
  /** Nominal interval of the whole logger in ms; NaN until its first 1,000 samples are in. */
  nominalMs: number;
  /** Nominal interval of the present segment in ms. */
  segmentMs: number;
  /** 1: differences have lately all been much longer, -1: much shorter, 0: neither. */
  runKind: number;
  runLength: number;
  /** Segments after the first: when each began and its nominal interval. */
  segments: { fromMs: number; nominalMs: number }[];
};

/** The state before the first sample. */
export function createHoldState(): HoldState {
  return { nominalMs: Number.NaN, segmentMs: Number.NaN, runKind: 0, runLength: 0, segments: [] };
}

/**
 * Settles how long each sample stands (definitions D1): until the logger's next one, or for the nominal
 * interval where a gap or the end of the log follows. Fills `holdS`, `deltaMs` and `gapAfter` of the frame
 * and moves `held` on, as far as what has been appended allows: the nominal interval needs the first 1,000
 * samples, a change of interval a hundred differences.
 *
 * @param last true where no more samples come: then every row is settled
 */
export function settleHolds(frame: Frame, state: HoldState, last: boolean): void {
  const { timesMs, holdS, deltaMs, gapAfter } = frame;
  if (Number.isNaN(state.nominalMs)) {
    if (frame.count < FIRST_SAMPLES && !last) return;
    const samples = Math.min(frame.count, FIRST_SAMPLES);
    if (samples >= 2) state.nominalMs = medianDifference(timesMs, 0, samples - 1);
    state.segmentMs = state.nominalMs;
  }
  // Rows from `held` on are unsettled; those of a run of odd differences are the first `runLength` of them.
  let row = frame.held + state.runLength;
  const end = frame.count - 1;
  let delta = state.segmentMs;
  let long = delta * MUCH;
  let short = delta / MUCH;
  while (row < end) {
    const difference = timesMs[row + 1] - timesMs[row];
    const kind = difference > long ? 1 : difference < short ? -1 : 0;
    if (kind === 0 && state.runLength === 0) {
      holdS[row] = difference / 1000;
      deltaMs[row] = delta;
      gapAfter[row] = 0;
      row++;
      frame.held = row;
      continue;
    }
    if (kind === 0 || kind !== state.runKind) {
      settleRun(frame, state);
      state.runKind = kind;
      if (kind === 0) continue;
    }
    state.runLength++;
    row++;
    if (state.runLength === SEGMENT_DIFFERENCES) {
      delta = medianDifference(timesMs, row - SEGMENT_DIFFERENCES, row);
      state.segmentMs = delta;
      state.segments.push({ fromMs: timesMs[row - SEGMENT_DIFFERENCES], nominalMs: delta });
      long = delta * MUCH;
      short = delta / MUCH;
      // What is odd for the new interval too may be the beginning of the next run.
      let odd = 0;
      let oddKind = 0;
      for (let back = row - 1; odd < SEGMENT_DIFFERENCES; back--, odd++) {
        const differenceBack = timesMs[back + 1] - timesMs[back];
        const kindBack = differenceBack > long ? 1 : differenceBack < short ? -1 : 0;
        if (kindBack === 0 || (odd > 0 && kindBack !== oddKind)) break;
        oddKind = kindBack;
      }
      state.runLength -= odd;
      settleRun(frame, state);
      state.runLength = odd;
      state.runKind = oddKind;
    }
  }
  if (last && frame.count > 0 && frame.held < frame.count) {
    settleRun(frame, state);
    const final = frame.count - 1;
    const nominal = Number.isNaN(state.segmentMs) ? 0 : state.segmentMs;
    holdS[final] = nominal / 1000;
    deltaMs[final] = nominal;
    gapAfter[final] = 1;
    frame.held = frame.count;
  }
}

function settleRun(frame: Frame, state: HoldState): void {
  const { timesMs, holdS, deltaMs, gapAfter } = frame;
  const delta = state.segmentMs;
  const end = frame.held + state.runLength;
  for (let row = frame.held; row < end; row++) {
    const difference = timesMs[row + 1] - timesMs[row];
    const gap = difference > GAP_INTERVALS * delta;
    holdS[row] = (gap ? delta : difference) / 1000;
    deltaMs[row] = delta;
    gapAfter[row] = gap ? 1 : 0;
  }
  frame.held = end;
  state.runLength = 0;
  state.runKind = 0;
}

/** Median of the differences of `timesMs` that begin at rows `from` to `to` − 1. */
function medianDifference(timesMs: Float64Array, from: number, to: number): number {
  const differences = new Float64Array(to - from);
  for (let row = from; row < to; row++) differences[row - from] = timesMs[row + 1] - timesMs[row];
  differences.sort();
  const middle = differences.length >> 1;
  return differences.length % 2 === 1
    ? differences[middle]
    : (differences[middle - 1] + differences[middle]) / 2;
}
