import { type CauseFigures, causeFigures } from "./cause-figures";
import type { Frame } from "./frame";
import { loadAfterKnown } from "./load-neighbours";
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

/** A transfer as the samples show it, before its cause is decided. Figures are NaN where the log has none. */
export type FoundTransfer = {
  atMs: number;
  to: "utility" | "generator";
  /** A gap lies between the last known state and this one: its beginning and end, NaN where there is none. */
  inGap: boolean;
  gapFromMs: number;
  gapToMs: number;
  returnedAtMs: number | null;
  onUtilityS: number;
  lowerBound: boolean;
  /** End of the last hold on utility with a loading above 1; NaN where there is none. */
  overUntilMs: number;
  /** A load was missing between the transfer and its return. */
  loadMissing: boolean;
  /** State of charge and battery voltage at the sample of the return. */
  returnSocPct: number;
  returnBatteryV: number;
  figures: CauseFigures;
};

/** A dropout as the samples show it, before its cause is decided. */
export type FoundDropout = {
  atMs: number;
  inGap: boolean;
  gapFromMs: number;
  gapToMs: number;
  endedAtMs: number | null;
  deadS: number;
  lowerBound: boolean;
  figures: CauseFigures;
};

/** An event under way: its figures need later samples, or its end has not come. */
type Pending<Found extends { figures: CauseFigures }> = {
  /** Row of the history at which it began. */
  row: number;
  ended: boolean;
  event: Omit<Found, "figures"> & { figures: CauseFigures | null };
};

/** What the detector carries from chunk to chunk. */
export type TransferState = {
  lastKnown: number;
  before: number;
  /** False before the first row. */
  started: boolean;
  /** The last gap since a state was known; NaN where there is none. */
  gapFromMs: number;
  gapToMs: number;
  /** End of the last hold before a gap that lies just before the next row, NaN where there is none. */
  gapOpenMs: number;
  transferOpen: boolean;
  dropoutOpen: boolean;
  /** Events under way, in the order of their beginning; of either kind only the last can be open. */
  pendingTransfers: Pending<FoundTransfer>[];
  pendingDropouts: Pending<FoundDropout>[];
  /** Finished events, in order of their beginning. */
  transfers: FoundTransfer[];
  dropouts: FoundDropout[];
};

/** The state before the first row. */
export function createTransferState(): TransferState {
  return {
    lastKnown: UNKNOWN,
    before: UNKNOWN,
    started: false,
    gapFromMs: Number.NaN,
    gapToMs: Number.NaN,
    gapOpenMs: Number.NaN,
    transferOpen: false,
    dropoutOpen: false,
    pendingTransfers: [],
    pendingDropouts: [],
    transfers: [],
    dropouts: [],
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
  const { timesMs, holdS, gapAfter, source, sourceGap } = frame;
  for (let row = from; row < to; row++) {
    const code = source[row];
    const atMs = timesMs[row];
    if (code === UNKNOWN && sourceGap[row] === 1) {
      // The other loggers go on, but what feeds the loads nobody knows: here it is a gap.
      if (state.started && Number.isNaN(state.gapOpenMs)) openGap(state, atMs);
      continue;
    }
    const gapBefore = !Number.isNaN(state.gapOpenMs);
    if (gapBefore) {
      state.gapFromMs = state.gapOpenMs;
      state.gapToMs = atMs;
      state.gapOpenMs = Number.NaN;
    }
    if (code !== state.before || !state.started) {
      if (state.dropoutOpen && code !== NONE) endDropout(state, atMs);
      if (state.transferOpen && code === INVERTER) endTransfer(frame, state, row);
      if (code === NONE && state.started) {
        state.dropoutOpen = true;
        state.pendingDropouts.push({
          row: frame.base + row,
          ended: false,
          event: {
            atMs,
            inGap: gapBefore,
            gapFromMs: gapBefore ? state.gapFromMs : Number.NaN,
            gapToMs: gapBefore ? state.gapToMs : Number.NaN,
            endedAtMs: null,
            deadS: 0,
            lowerBound: false,
            figures: null,
          },
        });
      }
      if ((code === UTILITY || code === GENERATOR) && state.lastKnown === INVERTER) {
        state.transferOpen = true;
        state.pendingTransfers.push({
          row: frame.base + row,
          ended: false,
          event: {
            atMs,
            to: code === UTILITY ? "utility" : "generator",
            inGap: !Number.isNaN(state.gapFromMs),
            gapFromMs: state.gapFromMs,
            gapToMs: state.gapToMs,
            returnedAtMs: null,
            onUtilityS: 0,
            lowerBound: false,
            overUntilMs: Number.NaN,
            loadMissing: false,
            returnSocPct: Number.NaN,
            returnBatteryV: Number.NaN,
            figures: null,
          },
        });
      }
      state.before = code;
      state.started = true;
    }
    if (state.transferOpen) followLoad(frame, state, row);
    if (code !== UNKNOWN) {
      state.lastKnown = code;
      state.gapFromMs = Number.NaN;
      state.gapToMs = Number.NaN;
    }
    if (gapAfter[row] === 1) openGap(state, atMs + holdS[row] * 1000);
  }
  settle(frame, state.pendingTransfers, state.transfers, ratingsOf, settings);
  settle(frame, state.pendingDropouts, state.dropouts, ratingsOf, settings);
}

/** The oldest row of the history that is still needed, or null. */
export function oldestWaitingRow(state: TransferState): number | null {
  let oldest: number | null = null;
  for (const { row, event } of [...state.pendingTransfers, ...state.pendingDropouts]) {
    if (event.figures === null && (oldest === null || row < oldest)) oldest = row;
  }
  return oldest;
}

/** From here on nothing is known: what is under way is left open. */
function openGap(state: TransferState, fromMs: number): void {
  state.gapOpenMs = fromMs;
  if (state.transferOpen) leaveTransferOpen(state, fromMs);
  if (state.dropoutOpen) leaveDropoutOpen(state, fromMs);
}

/** What the return delay is reckoned from: when the load came back under its limits (definitions D8). */
function followLoad(frame: Frame, state: TransferState, row: number): void {
  const { derived, raw } = frame;
  const { event } = state.pendingTransfers[state.pendingTransfers.length - 1];
  const l1 = derived.l1Loading[row];
  const l2 = derived.l2Loading[row];
  const total = derived.totalLoading[row];
  // A log without legs is followed by its total.
  const legs = raw.loadL1W !== undefined || raw.loadL1A !== undefined;
  if (Number.isNaN(total) || (legs && (Number.isNaN(l1) || Number.isNaN(l2)))) event.loadMissing = true;
  const code = frame.source[row];
  if ((code === UTILITY || code === GENERATOR) && (l1 > 1 || l2 > 1 || total > 1)) {
    event.overUntilMs = frame.timesMs[row] + frame.holdS[row] * 1000;
  }
}

function endTransfer(frame: Frame, state: TransferState, row: number): void {
  const pending = state.pendingTransfers[state.pendingTransfers.length - 1];
  const { event } = pending;
  const atMs = frame.timesMs[row];
  event.returnedAtMs = atMs;
  event.onUtilityS = (atMs - event.atMs) / 1000;
  event.returnSocPct = (frame.raw.batterySocPct ?? frame.nan)[row];
  event.returnBatteryV = (frame.raw.batteryV ?? frame.nan)[row];
  pending.ended = true;
  state.transferOpen = false;
}

function leaveTransferOpen(state: TransferState, untilMs: number): void {
  const pending = state.pendingTransfers[state.pendingTransfers.length - 1];
  pending.event.onUtilityS = (untilMs - pending.event.atMs) / 1000;
  pending.event.lowerBound = true;
  pending.ended = true;
  state.transferOpen = false;
}

function endDropout(state: TransferState, atMs: number): void {
  const pending = state.pendingDropouts[state.pendingDropouts.length - 1];
  pending.event.endedAtMs = atMs;
  pending.event.deadS = (atMs - pending.event.atMs) / 1000;
  pending.ended = true;
  state.dropoutOpen = false;
}

function leaveDropoutOpen(state: TransferState, untilMs: number): void {
  const pending = state.pendingDropouts[state.pendingDropouts.length - 1];
  pending.event.deadS = (untilMs - pending.event.atMs) / 1000;
  pending.event.lowerBound = true;
  pending.ended = true;
  state.dropoutOpen = false;
}

/** Reads figures whose window is complete, and hands over what is finished, in order of beginning. */
function settle<Found extends FoundTransfer | FoundDropout>(
  frame: Frame,
  pending: Pending<Found>[],
  found: Found[],
  ratingsOf: (atMs: number) => Ratings,
  settings: Settings,
): void {
  for (const { row, event } of pending) {
    if (event.figures === null && windowComplete(frame, row - frame.base)) {
      event.figures = causeFigures(frame, row - frame.base, ratingsOf, settings);
    }
  }
  while (pending.length > 0 && pending[0].ended && pending[0].event.figures !== null) {
    found.push(pending[0].event as Found);
    pending.shift();
  }
}

/** All samples up to one nominal interval later, and the load's next one, are there or will never come. */
function windowComplete(frame: Frame, row: number): boolean {
  const untilMs = frame.timesMs[row] + frame.deltaMs[row];
  for (let later = row; later < frame.sourced; later++) {
    if (frame.gapAfter[later] === 1) return true;
    if (later > row && frame.timesMs[later] > untilMs) return loadAfterKnown(frame, row);
  }
  return false;
}
