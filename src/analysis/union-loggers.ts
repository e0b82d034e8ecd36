import {
  appendRows,
  createFrame,
  dropRowsBefore,
  type Frame,
  type HeldSeries,
  packFrame,
  unpackFrame,
} from "./frame";
import { createHoldState, type HoldState, settleHolds } from "./holds";
import type { NumericChannel, Series } from "./series";

/** What one logger gives to the union; only what counts, so that nothing is given by two (channels-of-loggers.ts). */
export type UnionLogger = {
  readonly channels: readonly NumericChannel[];
  readonly hasSource: boolean;
  readonly hasFault: boolean;
};

/** What the union carries from chunk to chunk: plain data, fit for structured cloning. */
export type UnionState = { parts: UnionPart[] };

/** One logger's samples that are not yet all in rows of the union. */
type UnionPart = {
  frame: Frame;
  holds: HoldState;
  /** First row of the frame after the latest row of the union; the one before it is the sample last in force. */
  next: number;
  /** True where no more samples of this logger come. */
  ended: boolean;
  givesSource: boolean;
  givesFault: boolean;
  givesLoad: boolean;
  /** Its gaps are gaps of the source state. */
  bearsSource: boolean;
};

const FIRST_CAPACITY = 1024;

const LOAD_CHANNELS: readonly NumericChannel[] = [
  "loadL1W",
  "loadL2W",
  "loadW",
  "loadL1Va",
  "loadL2Va",
  "loadL1A",
  "loadL2A",
];

/** What a source state is derived from where no logger has one (D2). */
const POWER_CHANNELS: readonly NumericChannel[] = [
  "loadL1W",
  "loadL2W",
  "loadW",
  "loadL1A",
  "loadL2A",
  "gridL1W",
  "gridL2W",
  "gridW",
  "gridL1A",
  "gridL2A",
];

/**
 * The state before the first sample of several loggers (definitions D1): the union of their times is one
 * series, each channel of which holds by its own logger.
 *
 * Rows of the union are the instants at which some logger has a sample (one row where several have), and
 * those at which a logger's hold ends before a gap or its end while another one's goes on: its channels end
 * there, and not at the next row. A row stands until the next one; where nothing is in force any more, until
 * the last hold has ended. A logger of one sample has no interval and its hold is 0: the sample shows only
 * where nothing else is in force. One logger alone gives what `settleHolds` gives.
 *
 * @param loggers in order of precedence
 * @throws RangeError for no logger, or where a channel, the source or the fault is given by two.
 */
export function createUnionState(loggers: readonly UnionLogger[]): UnionState {
  if (loggers.length === 0) throw new RangeError("createUnionState requires at least one logger, got none");
  const given = loggers.flatMap(({ channels, hasSource, hasFault }) => [
    ...channels,
    ...(hasSource ? ["source"] : []),
    ...(hasFault ? ["faultCode"] : []),
  ]);
  const twice = given.find((channel, i) => given.indexOf(channel) !== i);
  if (twice !== undefined) {
    throw new RangeError(`createUnionState requires each channel of one logger only, got ${twice} of two`);
  }
  const sourceKnown = loggers.some((logger) => logger.hasSource);
  return {
    parts: loggers.map(({ channels, hasSource, hasFault }) => ({
      frame: createFrame(channels, FIRST_CAPACITY, []),
      holds: createHoldState(),
      next: 0,
      ended: false,
      givesSource: hasSource,
      givesFault: hasFault,
      givesLoad: channels.some((channel) => LOAD_CHANNELS.includes(channel)),
      bearsSource: sourceKnown ? hasSource : channels.some((channel) => POWER_CHANNELS.includes(channel)),
    })),
  };
}

/**
 * Takes the next samples of one logger, strictly ascending; loggers may be ahead of one another. Channels
 * that the logger was not said to give are left. The series' arrays may be used again afterwards.
 *
 * @param logger index among the loggers of the state
 * @throws RangeError for times that don't ascend, an unknown logger, or one that has ended.
 */
export function pushToUnion(state: UnionState, logger: number, series: Series): void {
  const part = partOf(state, logger);
  if (part.ended)
    throw new RangeError(`pushToUnion requires a logger that goes on, got ${logger}, which ended`);
  appendRows(part.frame, series, 0, series.timesMs.length);
}

/** Says that no more samples of a logger come, so that the others need not wait for it. */
export function endInUnion(state: UnionState, logger: number): void {
  partOf(state, logger).ended = true;
}

/**
 * How many samples wait, as of the last `settleUnion`, and the logger that keeps the union from going on: the one
 * to read next. Whoever always reads that one holds at most a batch and a thousand samples of each logger, however
 * long their gaps and however different their intervals are. Null where all have ended.
 */
export function unionWaits(state: UnionState): { waiting: number; forLogger: number | null } {
  let waiting = 0;
  let forLogger: number | null = null;
  for (const [logger, part] of state.parts.entries()) {
    waiting += part.frame.count - part.next;
    if (part.ended) continue;
    if (forLogger === null || decidedBeforeMs(part) < decidedBeforeMs(state.parts[forLogger])) {
      forLogger = logger;
    }
  }
  return { waiting, forLogger };
}

/** Nominal interval in ms of the first logger that gives the load, else of the first; NaN while it isn't known. */
export function unionNominalMs(state: UnionState): number {
  return state.parts[toldPart(state)].holds.nominalMs;
}

/** Where that logger's interval changed, as far as it wasn't taken yet. */
export function takeIntervals(state: UnionState): HoldState["segments"] {
  const taken = state.parts.map((part) => part.holds.segments.splice(0));
  return taken[toldPart(state)];
}

/** How many loggers give load. */
function loadParts(state: UnionState): number {
  return state.parts.reduce((count, part) => count + (part.givesLoad ? 1 : 0), 0);
}

function toldPart(state: UnionState): number {
  return Math.max(
    0,
    state.parts.findIndex((part) => part.givesLoad),
  );
}

/**
 * The rows of the union that are final and were not given yet, in ascending time; null where there are none.
 * What comes of all calls together is the same to the bit however the samples were pushed.
 *
 * @param last true where no more samples of any logger come: then every row is final
 */
export function settleUnion(state: UnionState, last: boolean): HeldSeries | null {
  const { parts } = state;
  const count = parts.length;
  let decidedMs = Number.POSITIVE_INFINITY;
  let most = 0;
  for (const part of parts) {
    const { frame } = part;
    if (last) part.ended = true;
    settleHolds(frame, part.holds, part.ended);
    frame.sourced = frame.held;
    frame.done = frame.held;
    decidedMs = Math.min(decidedMs, decidedBeforeMs(part));
    most += frame.held - part.next;
    for (let row = Math.max(0, part.next - 1); row < frame.held; row++) most += frame.gapAfter[row];
  }
  const endMs = new Float64Array(count);
  const nextMs = new Float64Array(count);
  for (let p = 0; p < count; p++) {
    endMs[p] = forceEndMs(parts[p]);
    nextMs[p] = nextSampleMs(parts[p]);
  }
  // What was given before ended where a logger's next sample is: no end of a hold is left before that.
  let atMs = least(nextMs);
  if (!(atMs < decidedMs)) return null;

  const timesMs = new Float64Array(most);
  const holdS = new Float64Array(most);
  const deltaMs = new Float64Array(most);
  const gapAfter = new Uint8Array(most);
  const sourceGap = new Uint8Array(most);
  const loadSampled = new Uint8Array(most).fill(loadParts(state) === 0 ? 1 : 2);
  /** Per logger and row of the union: the row of its frame in force, or -1. */
  const picks = parts.map(() => new Int32Array(most).fill(-1));
  let rows = 0;
  while (atMs < decidedMs) {
    let untilMs = Number.POSITIVE_INFINITY;
    let lastEndMs = Number.NEGATIVE_INFINITY;
    let sampleMs = Number.POSITIVE_INFINITY;
    for (let p = 0; p < count; p++) {
      if (nextMs[p] === atMs) {
        if (parts[p].givesLoad) loadSampled[rows] = 1;
        parts[p].next++;
        endMs[p] = forceEndMs(parts[p]);
        nextMs[p] = nextSampleMs(parts[p]);
      }
      const end = endMs[p];
      if (end > atMs) {
        picks[p][rows] = parts[p].next - 1;
        if (parts[p].givesLoad && loadSampled[rows] === 2) loadSampled[rows] = 0;
        if (end < untilMs) untilMs = end;
        if (end > lastEndMs) lastEndMs = end;
      }
      if (nextMs[p] < sampleMs) sampleMs = nextMs[p];
    }
    const held = lastEndMs > atMs;
    if (sampleMs < untilMs) untilMs = sampleMs;
    const gap = !held || (untilMs === lastEndMs && sampleMs > untilMs);
    if (!held) pickWithoutHold(parts, picks, atMs, rows);
    timesMs[rows] = atMs;
    holdS[rows] = held ? (untilMs - atMs) / 1000 : 0;
    deltaMs[rows] = intervalMs(parts);
    gapAfter[rows] = gap ? 1 : 0;
    for (let p = 0; p < count; p++) if (parts[p].bearsSource && picks[p][rows] < 0) sourceGap[rows] = 1;
    rows++;
    atMs = gap ? sampleMs : untilMs;
  }

  const channels: { [C in NumericChannel]?: Float32Array } = {};
  let sources: Uint8Array | null = null;
  let faults: Uint16Array | null = null;
  for (let p = 0; p < count; p++) {
    const { frame, givesSource, givesFault } = parts[p];
    for (const channel of Object.keys(frame.raw) as NumericChannel[]) {
      channels[channel] = picked(frame.raw[channel]!, picks[p], new Float32Array(rows), Number.NaN);
    }
    if (givesSource) sources = picked(frame.source, picks[p], new Uint8Array(rows), 0);
    if (givesFault) faults = picked(frame.fault, picks[p], new Uint16Array(rows), 0);
    forget(parts[p]);
  }
  return {
    timesMs: timesMs.subarray(0, rows),
    channels,
    sources,
    faults,
    holdS: holdS.subarray(0, rows),
    deltaMs: deltaMs.subarray(0, rows),
    gapAfter: gapAfter.subarray(0, rows),
    sourceGap: sourceGap.subarray(0, rows),
    loadSampled: loadSampled.subarray(0, rows),
  };
}

/**
 * A copy of the state to be kept, no larger than the samples that wait, and the same to the bit for the same
 * samples of each logger, however they were pushed, once they have been settled. `unpackUnion` makes room again.
 */
export function packUnion(state: UnionState): UnionState {
  // Arrays are filled one by one: an array that came out of a kept state would serialise to other bytes.
  const parts: UnionPart[] = [];
  for (const part of state.parts) {
    dropGiven(part);
    const segments: HoldState["segments"] = [];
    for (const segment of part.holds.segments) segments.push(segment);
    parts.push({ ...part, holds: { ...part.holds, segments }, frame: packFrame(part.frame) });
  }
  return { parts };
}

/** The state that `packUnion` packed, to go on with. */
export function unpackUnion(packed: UnionState): UnionState {
  return {
    parts: packed.parts.map((part) => ({
      ...part,
      holds: { ...part.holds, segments: [...part.holds.segments] },
      frame: unpackFrame(part.frame, FIRST_CAPACITY),
    })),
  };
}

function partOf(state: UnionState, logger: number): UnionPart {
  const part = state.parts[logger];
  if (part === undefined) {
    throw new RangeError(`a union requires a logger from 0 to ${state.parts.length - 1}, got ${logger}`);
  }
  return part;
}

/** Everything of this logger before that instant is known, holds and all. */
function decidedBeforeMs({ frame, ended }: UnionPart): number {
  if (ended) return Number.POSITIVE_INFINITY;
  return frame.held < frame.count ? frame.timesMs[frame.held] : Number.NEGATIVE_INFINITY;
}

/** Where the sample last in force stops being so; -Infinity before the first. */
function forceEndMs({ frame, next }: UnionPart): number {
  if (next === 0) return Number.NEGATIVE_INFINITY;
  const row = next - 1;
  // Before a gap the hold is the interval; taken in milliseconds the sum is exact.
  return frame.gapAfter[row] === 1 ? frame.timesMs[row] + frame.deltaMs[row] : frame.timesMs[next];
}

function nextSampleMs({ frame, next }: UnionPart): number {
  return next < frame.count ? frame.timesMs[next] : Number.POSITIVE_INFINITY;
}

/** Nothing is in force: samples without a hold at this very instant show after all. */
function pickWithoutHold(parts: readonly UnionPart[], picks: Int32Array[], atMs: number, row: number): void {
  for (const [p, { frame, next }] of parts.entries()) {
    if (next > 0 && frame.timesMs[next - 1] === atMs) picks[p][row] = next - 1;
  }
}

function intervalMs(parts: readonly UnionPart[]): number {
  let first = -1;
  let ofLoad = -1;
  for (const { frame, next, givesLoad } of parts) {
    if (next === 0) continue;
    const delta = frame.deltaMs[next - 1];
    if (first < 0) first = delta;
    if (givesLoad && delta > ofLoad) ofLoad = delta;
  }
  return ofLoad >= 0 ? ofLoad : first;
}

function picked<C extends Float32Array | Uint8Array | Uint16Array>(
  column: C,
  picks: Int32Array,
  target: C,
  missing: number,
): C {
  for (let row = 0; row < target.length; row++) {
    const pick = picks[row];
    target[row] = pick < 0 ? missing : column[pick];
  }
  return target;
}

/** Drops what the union has gone past once that is half of what is there. */
function forget(part: UnionPart): void {
  if (part.next * 2 >= part.frame.count) dropGiven(part);
}

/** Keeps the sample last in force and those after it. */
function dropGiven(part: UnionPart): void {
  const before = part.next - 1;
  if (before <= 0) return;
  dropRowsBefore(part.frame, before);
  part.next -= before;
}

function least(values: Float64Array): number {
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < values.length; i++) if (values[i] < lowest) lowest = values[i];
  return lowest;
}
