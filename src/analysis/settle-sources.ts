import type { ChannelsPresent } from "./channels-present";
import type { Frame } from "./frame";
import { gridAt, loadAt } from "./power-at";
import type { Ratings } from "./ratings";
import { SOURCE_CODE } from "./series";
import type { Settings } from "./settings";

const { unknown: UNKNOWN, inverter: INVERTER, utility: UTILITY, none: NONE } = SOURCE_CODE;

/** What the source stage carries from chunk to chunk. */
export type SourceState = {
  /** Last state that was not unknown; UNKNOWN before the first. */
  lastKnown: number;
  /** Unknown rows at the end of what was looked at, which may still take the state around them. */
  pending: number;
  pendingFromMs: number;
  /** False once the stretch of unknown is too long, has a gap, or nothing known stands before it. */
  fillable: boolean;
  /** State derived from the grid's power, where the log has no source column (definitions D2). */
  derived: number;
  /** True while the loads are dead by the rule for logs without a source column (definitions D5). */
  dead: boolean;
  /** Total load of the row before, W; NaN after a gap and at the beginning. */
  loadBeforeW: number;
};

/** The state before the first sample. */
export function createSourceState(): SourceState {
  return {
    lastKnown: UNKNOWN,
    pending: 0,
    pendingFromMs: Number.NaN,
    fillable: false,
    derived: UNKNOWN,
    dead: false,
    loadBeforeW: Number.NaN,
  };
}

/**
 * Settles the source state of each row whose hold is known and moves `sourced` on. Where the log has no
 * source column the state comes from the grid's power (D2) and a dropout from load and leg voltage (D5).
 * A stretch of `unknown` between two equal known states takes that state if it lasts at most unknownFillS
 * and no gap lies in it (D5); rows of such a stretch wait until it is over.
 *
 * @param ratingsOf ratings in force at an instant
 * @param last true where no more samples come
 */
export function settleSources(
  frame: Frame,
  state: SourceState,
  present: ChannelsPresent,
  ratingsOf: (atMs: number) => Ratings,
  settings: Settings,
  last: boolean,
): void {
  const { timesMs, source, gapAfter, sourceGap } = frame;
  const fillMs = settings.unknownFillS * 1000;
  for (let row = frame.sourced + state.pending; row < frame.held; row++) {
    if (!present.source)
      source[row] = sourceFromPower(frame, state, present, ratingsOf(timesMs[row]), settings, row);
    const code = source[row];
    const gapBefore = (row > 0 && gapAfter[row - 1] === 1) || (code === UNKNOWN && sourceGap[row] === 1);
    if (code === UNKNOWN) {
      if (state.pending === 0) {
        state.pendingFromMs = timesMs[row];
        state.fillable = state.lastKnown !== UNKNOWN && !gapBefore && fillable(state, row, frame);
      } else if (gapBefore) state.fillable = false;
      state.pending++;
      if (state.fillable && timesMs[row] - state.pendingFromMs > fillMs) state.fillable = false;
      if (!state.fillable) release(frame, state);
      continue;
    }
    if (state.pending > 0) {
      if (
        state.fillable &&
        !gapBefore &&
        code === state.lastKnown &&
        timesMs[row] - state.pendingFromMs <= fillMs
      ) {
        source.fill(code, frame.sourced, row);
      }
      release(frame, state);
    }
    state.lastKnown = code;
    frame.sourced = row + 1;
  }
  if (last) release(frame, state);
}

/** A stretch that was let go row by row must not begin to be fillable in its middle. */
function fillable(state: SourceState, row: number, frame: Frame): boolean {
  return row > 0 && frame.source[row - 1] === state.lastKnown;
}

function release(frame: Frame, state: SourceState): void {
  frame.sourced += state.pending;
  state.pending = 0;
}

function sourceFromPower(
  frame: Frame,
  state: SourceState,
  present: ChannelsPresent,
  ratings: Ratings,
  settings: Settings,
  row: number,
): number {
  const loadW = loadAt(frame, row, ratings.legNominalV);
  const { raw, nan } = frame;
  const l1V = (raw.loadL1V ?? nan)[row];
  const l2V = (raw.loadL2V ?? nan)[row];
  const noVoltage = l1V < settings.dropoutV || l2V < settings.dropoutV;
  const low = loadW < settings.dropoutToShare * ratings.totalLimitW;
  if (!state.dead) {
    state.dead = noVoltage && low && state.loadBeforeW >= settings.dropoutFromShare * ratings.totalLimitW;
  } else if (!(noVoltage && low)) state.dead = false;
  state.loadBeforeW = frame.gapAfter[row] === 1 ? Number.NaN : loadW;
  if (state.dead) return NONE;
  if (!present.grid) return UNKNOWN;
  const gridW = gridAt(frame, row, ratings.legNominalV);
  if (Number.isNaN(loadW) || Number.isNaN(gridW)) return UNKNOWN;
  if (loadW >= settings.sourceFloorShare * ratings.totalLimitW) {
    state.derived = gridW >= settings.sourceFromGridShare * loadW ? UTILITY : INVERTER;
  }
  return state.derived;
}
