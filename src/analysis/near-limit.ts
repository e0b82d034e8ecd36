import type { Frame } from "./frame";
import type { NearLimitInterval, Quantity } from "./results";
import { SOURCE_CODE } from "./series";
import type { Settings } from "./settings";

const { inverter: INVERTER, utility: UTILITY, generator: GENERATOR } = SOURCE_CODE;

/** A run of high loading, open or waiting to be joined with the next. */
type Run = {
  fromMs: number;
  toMs: number;
  peakLoading: number;
  peakAtMs: number;
  peakValue: number;
  loadingSeconds: number;
  heldS: number;
  overLimitS: number;
  onInverterS: number;
  onUtilityS: number;
  stretchS: number;
  longestStretchS: number;
};

/** What the detector of one quantity carries from chunk to chunk. */
export type NearLimitState = {
  readonly quantity: Quantity;
  open: boolean;
  run: Run | null;
  /** Sums since the run closed, to be added if the next run joins it. */
  between: Run | null;
  longestRunHeldS: number;
  found: NearLimitInterval[];
};

/** The state before the first row. */
export function createNearLimitState(quantity: Quantity): NearLimitState {
  return { quantity, open: false, run: null, between: null, longestRunHeldS: 0, found: [] };
}

/**
 * Near-limit intervals of one quantity over rows `from` to `to` (definitions D4): a run opens at loading
 * ≥ nearLimitEnter and closes at the first sample < nearLimitLeave, at a gap or where loading is NaN; runs
 * less than nearLimitJoinS apart with neither between are joined; what is then shorter than nearLimitMinS
 * is dropped unless a sample in it reached 1. Finished intervals are appended to `state.found`.
 *
 * @param loading ratio, NaN = unknown
 * @param values load in W (pass-through: A) at each row
 */
export function findNearLimit(
  frame: Frame,
  loading: Float64Array,
  values: Float64Array,
  state: NearLimitState,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, gapAfter, source } = frame;
  const enter = settings.nearLimitEnter;
  const leave = settings.nearLimitLeave;
  const joinMs = settings.nearLimitJoinS * 1000;
  for (let row = from; row < to; row++) {
    const value = loading[row];
    if (state.run === null && !(value >= enter)) continue;
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (Number.isNaN(value)) {
      finish(state, settings);
      continue;
    }
    if (state.open) {
      if (value < leave) {
        state.open = false;
        state.between = createRun(atMs);
      }
    } else if (value >= enter) {
      if (state.run !== null && state.between !== null && atMs - state.run.toMs < joinMs) {
        join(state.run, state.between);
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
      into.heldS += hold;
      into.loadingSeconds += value * hold;
      if (value > 1) into.overLimitS += hold;
      const code = source[row];
      if (code === INVERTER) {
        into.onInverterS += hold;
        into.stretchS += hold;
        if (into.stretchS > into.longestStretchS) into.longestStretchS = into.stretchS;
      } else {
        into.stretchS = 0;
        if (code === UTILITY || code === GENERATOR) into.onUtilityS += hold;
      }
      if (value > into.peakLoading) {
        into.peakLoading = value;
        into.peakAtMs = atMs;
        into.peakValue = values[row];
      }
      if (state.between !== null && state.run !== null && state.between.toMs - state.run.toMs >= joinMs) {
        finish(state, settings);
      }
    }
    if (gapAfter[row] === 1) finish(state, settings);
  }
}

function createRun(fromMs: number): Run {
  return {
    fromMs,
    toMs: fromMs,
    peakLoading: Number.NEGATIVE_INFINITY,
    peakAtMs: fromMs,
    peakValue: Number.NaN,
    loadingSeconds: 0,
    heldS: 0,
    overLimitS: 0,
    onInverterS: 0,
    onUtilityS: 0,
    stretchS: 0,
    longestStretchS: 0,
  };
}

function join(run: Run, between: Run): void {
  run.loadingSeconds += between.loadingSeconds;
  run.heldS += between.heldS;
  run.overLimitS += between.overLimitS;
  run.onInverterS += between.onInverterS;
  run.onUtilityS += between.onUtilityS;
  // The stretch on inverter goes on through the time between if nothing interrupted it there.
  run.stretchS = between.onInverterS === between.heldS ? run.stretchS + between.stretchS : between.stretchS;
  run.longestStretchS = Math.max(run.longestStretchS, between.longestStretchS, run.stretchS);
}

function finish(state: NearLimitState, settings: Settings): void {
  const { run } = state;
  state.run = null;
  state.between = null;
  state.open = false;
  if (run === null) return;
  const durationS = (run.toMs - run.fromMs) / 1000;
  if (durationS < settings.nearLimitMinS && !(run.peakLoading >= 1)) return;
  if (run.longestStretchS > state.longestRunHeldS) state.longestRunHeldS = run.longestStretchS;
  const amps = state.quantity === "pass-through";
  state.found.push({
    quantity: state.quantity,
    fromMs: run.fromMs,
    toMs: run.toMs,
    durationS,
    // VA alone may have shown the loading: then the log has no watts for it.
    peakW: amps || Number.isNaN(run.peakValue) ? null : run.peakValue,
    peakA: amps ? run.peakValue : null,
    peakAtMs: run.peakAtMs,
    peakLoading: run.peakLoading,
    meanLoading: run.loadingSeconds / run.heldS,
    overLimitS: run.overLimitS,
    onInverterS: run.onInverterS,
    onUtilityS: run.onUtilityS,
  });
}
