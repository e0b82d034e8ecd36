import { type CauseFigures, causeFigures } from "./cause-figures";
import type { Frame } from "./frame";
import type { Ratings } from "./ratings";
import { SOURCE_CODE } from "./series";
import type { Settings } from "./settings";

const {
  unknown: UNKNOWN,
  inverter: INVERTER,
  utility: UTILITY,
  generator: GENERATOR,
  none: NONE,
} = SOURCE_CODE;

/** A transfer as the samples show it, before its cause is decided. */
export type FoundTransfer = {
  atMs: number;
  to: "utility" | "generator";
  /** A gap lies between the last known state and this one. */
  inGap: boolean;
  returnedAtMs: number | null;
  onUtilityS: number;
  lowerBound: boolean;
  /** End of the last hold on utility with a loading above 1; NaN where there is none. */
  overUntilMs: number;
  /** A load was missing between the transfer and its return. */
  loadMissing: boolean;
  figures: CauseFigures | null;
};

/** A dropout as the samples show it, before its cause is decided. */
export type FoundDropout = {
  atMs: number;
  inGap: boolean;
  endedAtMs: number | null;
  deadS: number;
  lowerBound: boolean;
  figures: CauseFigures | null;
};

/** What the detector carries from chunk to chunk. */
export type TransferState = {
  lastKnown: number;
  before: number;
  /** False before the first row. */
  started: boolean;
  gapSinceKnown: boolean;
  gapBefore: boolean;
  transferOpen: boolean;
  dropoutOpen: boolean;
  transfers: FoundTransfer[];
  dropouts: FoundDropout[];
  /** History rows whose cause figures wait for later samples, and which list entry they belong to. */
  waiting: { row: number; dropout: boolean; entry: number }[];
};

/** The state before the first row. */
export function createTransferState(): TransferState {
  return {
    lastKnown: UNKNOWN,
    before: UNKNOWN,
    started: false,
    gapSinceKnown: false,
    gapBefore: false,
    transferOpen: false,
    dropoutOpen: false,
    transfers: [],
    dropouts: [],
    waiting: [],
  };
}

/**
 * Transfers, returns and dropouts over rows `from` to `to` (definitions D5), each with the figures around
 * it that its cause is decided by (D6). A transfer is utility or generator where the last known state was
 * inverter; it returns at the first later sample on inverter; a gap before that leaves the return unknown.
 *
 * @param ratingsOf ratings in force at an instant
 */
export function findTransfers(
  frame: Frame,
  state: TransferState,
  ratingsOf: (atMs: number) => Ratings,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, gapAfter, source } = frame;
  for (let row = from; row < to; row++) {
    const code = source[row];
    const atMs = timesMs[row];
    if (code !== state.before || !state.started) {
      if (state.dropoutOpen && code !== NONE) endDropout(state, atMs);
      if (state.transferOpen && code === INVERTER) endTransfer(state, atMs);
      if (code === NONE && state.started) {
        state.dropoutOpen = true;
        state.dropouts.push({
          atMs,
          inGap: state.gapBefore,
          endedAtMs: null,
          deadS: 0,
          lowerBound: false,
          figures: null,
        });
        state.waiting.push({ row: frame.base + row, dropout: true, entry: state.dropouts.length - 1 });
      }
      if ((code === UTILITY || code === GENERATOR) && state.lastKnown === INVERTER) {
        state.transferOpen = true;
        state.transfers.push({
          atMs,
          to: code === UTILITY ? "utility" : "generator",
          inGap: state.gapSinceKnown,
          returnedAtMs: null,
          onUtilityS: 0,
          lowerBound: false,
          overUntilMs: Number.NaN,
          loadMissing: false,
          figures: null,
        });
        state.waiting.push({ row: frame.base + row, dropout: false, entry: state.transfers.length - 1 });
      }
      state.before = code;
      state.started = true;
    }
    if (state.transferOpen) followLoad(frame, state, row);
    if (code !== UNKNOWN) {
      state.lastKnown = code;
      state.gapSinceKnown = false;
    }
    state.gapBefore = gapAfter[row] === 1;
    if (state.gapBefore) {
      state.gapSinceKnown = true;
      const untilMs = atMs + holdS[row] * 1000;
      if (state.transferOpen) leaveTransferOpen(state, untilMs);
      if (state.dropoutOpen) leaveDropoutOpen(state, untilMs);
    }
  }
  if (state.waiting.length > 0) readWaiting(frame, state, ratingsOf, settings);
}

/** The oldest row of the history that is still needed, or null. */
export function oldestWaitingRow(state: TransferState): number | null {
  return state.waiting.length > 0 ? state.waiting[0].row : null;
}

/** What the return delay is reckoned from: when the load came back under its limits (definitions D8). */
function followLoad(frame: Frame, state: TransferState, row: number): void {
  const { derived, raw } = frame;
  const transfer = state.transfers[state.transfers.length - 1];
  const l1 = derived.l1Loading[row];
  const l2 = derived.l2Loading[row];
  const total = derived.totalLoading[row];
  // A log without legs is followed by its total.
  const legs = raw.loadL1W !== undefined || raw.loadL1A !== undefined;
  if (Number.isNaN(total) || (legs && (Number.isNaN(l1) || Number.isNaN(l2)))) transfer.loadMissing = true;
  const code = frame.source[row];
  if ((code === UTILITY || code === GENERATOR) && (l1 > 1 || l2 > 1 || total > 1)) {
    transfer.overUntilMs = frame.timesMs[row] + frame.holdS[row] * 1000;
  }
}

function endTransfer(state: TransferState, atMs: number): void {
  const transfer = state.transfers[state.transfers.length - 1];
  transfer.returnedAtMs = atMs;
  transfer.onUtilityS = (atMs - transfer.atMs) / 1000;
  state.transferOpen = false;
}

function leaveTransferOpen(state: TransferState, untilMs: number): void {
  const transfer = state.transfers[state.transfers.length - 1];
  transfer.onUtilityS = (untilMs - transfer.atMs) / 1000;
  transfer.lowerBound = true;
  state.transferOpen = false;
}

function endDropout(state: TransferState, atMs: number): void {
  const dropout = state.dropouts[state.dropouts.length - 1];
  dropout.endedAtMs = atMs;
  dropout.deadS = (atMs - dropout.atMs) / 1000;
  state.dropoutOpen = false;
}

function leaveDropoutOpen(state: TransferState, untilMs: number): void {
  const dropout = state.dropouts[state.dropouts.length - 1];
  dropout.deadS = (untilMs - dropout.atMs) / 1000;
  dropout.lowerBound = true;
  state.dropoutOpen = false;
}

function readWaiting(
  frame: Frame,
  state: TransferState,
  ratingsOf: (atMs: number) => Ratings,
  settings: Settings,
): void {
  const still: TransferState["waiting"] = [];
  for (const wait of state.waiting) {
    const row = wait.row - frame.base;
    if (!windowComplete(frame, row)) {
      still.push(wait);
      continue;
    }
    const figures = causeFigures(frame, row, ratingsOf, settings);
    if (wait.dropout) state.dropouts[wait.entry].figures = figures;
    else state.transfers[wait.entry].figures = figures;
  }
  state.waiting = still;
}

/** All samples up to one nominal interval later, and the next sample, are there or will never come. */
function windowComplete(frame: Frame, row: number): boolean {
  const untilMs = frame.timesMs[row] + frame.deltaMs[row];
  for (let later = row; later < frame.sourced; later++) {
    if (frame.gapAfter[later] === 1) return true;
    if (later > row && frame.timesMs[later] > untilMs) return true;
  }
  return false;
}
