import { derateRatio } from "./derate-ratio";
import type { Frame } from "./frame";
import type { Ratings } from "./ratings";
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
  /** Inverter temperature and nominal interval at the peak's sample. */
  peakTempC: number;
  intervalS: number;
  loadingSeconds: number;
  heldS: number;
  overLimitS: number;
  onInverterS: number;
  onUtilityS: number;
  /** The stretch on inverter under way, and the longest one. */
  stretchS: number;
  stretchFromMs: number;
  longestStretchS: number;
  longestStretchFromMs: number;
};

/** What the detector of one quantity carries from chunk to chunk. */
export type NearLimitState = {
  readonly quantity: Quantity;
  open: boolean;
  run: Run | null;
  /** Sums since the run closed, to be added if the next run joins it. */
  between: Run | null;
  found: NearLimitInterval[];
};

/** The state before the first row. */
export function createNearLimitState(quantity: Quantity): NearLimitState {
  return { quantity, open: false, run: null, between: null, found: [] };
}

/**
 * Near-limit intervals of one quantity over rows `from` to `to` (definitions D4): a run opens at loading
 * ≥ nearLimitEnter and closes at the first sample < nearLimitLeave, at a gap or where loading is NaN; runs
 * less than nearLimitJoinS apart with neither between are joined; what is then shorter than nearLimitMinS
 * is dropped unless a sample in it reached 1. Finished intervals are appended to `state.found`.
 *
 * @param loading ratio, NaN = unknown
 * @param values load in W (pass-through: A) at each row
 * @param ratingsOf ratings in force at an instant, for the limit at the peak
 */
export function findNearLimit(
  frame: Frame,
  loading: Float64Array,
  values: Float64Array,
  state: NearLimitState,
  ratingsOf: (atMs: number) => Ratings,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, deltaMs, gapAfter, source } = frame;
  const tempC = frame.raw.inverterTempC ?? frame.nan;
  const enter = settings.nearLimitEnter;
  const leave = settings.nearLimitLeave;
  const joinMs = settings.nearLimitJoinS * 1000;
  for (let row = from; row < to; row++) {
    const value = loading[row];
    if (state.run === null && !(value >= enter)) continue;
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (Number.isNaN(value)) {
      finish(state, ratingsOf, settings);
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
        finish(state, ratingsOf, settings);
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
        if (into.stretchS === 0) into.stretchFromMs = atMs;
        into.stretchS += hold;
        if (into.stretchS > into.longestStretchS) {
          into.longestStretchS = into.stretchS;
          into.longestStretchFromMs = into.stretchFromMs;
        }
      } else {
        into.stretchS = 0;
        if (code === UTILITY || code === GENERATOR) into.onUtilityS += hold;
      }
      if (value > into.peakLoading) {
        into.peakLoading = value;
        into.peakAtMs = atMs;
        into.peakValue = values[row];
        into.peakTempC = tempC[row];
        into.intervalS = deltaMs[row] / 1000;
      }
      if (state.between !== null && state.run !== null && state.between.toMs - state.run.toMs >= joinMs) {
        finish(state, ratingsOf, settings);
      }
    }
    if (gapAfter[row] === 1) finish(state, ratingsOf, settings);
  }
}

function createRun(fromMs: number): Run {
  return {
    fromMs,
    toMs: fromMs,
    peakLoading: Number.NEGATIVE_INFINITY,
    peakAtMs: fromMs,
    peakValue: Number.NaN,
    peakTempC: Number.NaN,
    intervalS: 0,
    loadingSeconds: 0,
    heldS: 0,
    overLimitS: 0,
    onInverterS: 0,
    onUtilityS: 0,
    stretchS: 0,
    stretchFromMs: fromMs,
    longestStretchS: 0,
    longestStretchFromMs: fromMs,
  };
}

function join(run: Run, between: Run): void {
  run.loadingSeconds += between.loadingSeconds;
  run.heldS += between.heldS;
  run.overLimitS += between.overLimitS;
  run.onInverterS += between.onInverterS;
  run.onUtilityS += between.onUtilityS;
  // The stretch on inverter goes on through the time between if nothing interrupted it there.
  if (between.longestStretchS > run.longestStretchS) {
    run.longestStretchS = between.longestStretchS;
    run.longestStretchFromMs = between.longestStretchFromMs;
  }
  if (between.onInverterS === between.heldS) {
    if (run.stretchS === 0) run.stretchFromMs = between.stretchFromMs;
    run.stretchS += between.stretchS;
  } else {
    run.stretchS = between.stretchS;
    run.stretchFromMs = between.stretchFromMs;
  }
  if (run.stretchS > run.longestStretchS) {
    run.longestStretchS = run.stretchS;
    run.longestStretchFromMs = run.stretchFromMs;
  }
}

function finish(state: NearLimitState, ratingsOf: (atMs: number) => Ratings, settings: Settings): void {
  const { run } = state;
  state.run = null;
  state.between = null;
  state.open = false;
  if (run === null) return;
  const durationS = (run.toMs - run.fromMs) / 1000;
  if (durationS < settings.nearLimitMinS && !(run.peakLoading >= 1)) return;
  const amps = state.quantity === "pass-through";
  const ratings = ratingsOf(run.peakAtMs);
  const ratio = derateRatio(ratings, run.peakTempC);
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
    limitW: amps ? null : ratio * (state.quantity === "total" ? ratings.totalLimitW : ratings.legLimitW),
    limitA: amps ? (ratings.passThroughA ?? null) : null,
    intervalS: run.intervalS,
    // A log of one sample holds for no time: its loading is all there is to take a mean of.
    meanLoading: run.heldS > 0 ? run.loadingSeconds / run.heldS : run.peakLoading,
    overLimitS: run.overLimitS,
    onInverterS: run.onInverterS,
    onUtilityS: run.onUtilityS,
    longestOnInverterS: run.longestStretchS,
    longestOnInverterFromMs: run.longestStretchS > 0 ? run.longestStretchFromMs : null,
  });
}
