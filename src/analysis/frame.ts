import { NUMERIC_CHANNELS, type NumericChannel, type Series } from "./series";

/**
 * The stretch of a history that is being worked on: a moving window of rows, as columns of equal capacity.
 *
 * Rows go through stages, each of which may lag behind the one before because it must see later rows:
 * appended (`count`) ≥ hold known (`held`) ≥ source final (`sourced`) = derived ≥ given to the detectors
 * (`done`). Some rows before `done` are kept, since causes look back. Row r of the window is row
 * `base + r` of the history. Missing values are NaN.
 */
export type Frame = {
  base: number;
  count: number;
  held: number;
  sourced: number;
  done: number;
  capacity: number;
  timesMs: Float64Array;
  /** How long the sample stands, seconds (definitions D1). Valid below `held`. */
  holdS: Float64Array;
  /** Nominal interval of the sample's segment, ms. Valid below `held`. */
  deltaMs: Float64Array;
  /** 1 where a gap or the end of the log follows. Valid below `held`. */
  gapAfter: Uint8Array;
  /** SOURCE_CODE, final below `sourced`. */
  source: Uint8Array;
  /** 1 where the logger that gives the source has no sample in force, though others have (HeldSeries). */
  sourceGap: Uint8Array;
  /** 1 where a logger that gives the load has a sample of its own, 0 where its last one stands, 2 where none does. */
  loadSampled: Uint8Array;
  fault: Uint16Array;
  /** True where holds come with the rows (several loggers) and aren't settled here. */
  holdsGiven: boolean;
  /** Channels of the log as they came; absent where the log has none. */
  raw: { [C in NumericChannel]?: Float32Array };
  /** A column of NaN, read in place of an absent channel. */
  nan: Float32Array;
  /** Derived columns (definitions D2, D3, D10), valid below `sourced`. */
  derived: { [D in DerivedColumn]: Float64Array };
};

/** Columns that the analysis adds to those of the log. Loadings are ratios, powers W, amperes A. */
export const DERIVED_COLUMNS = [
  "l1W",
  "l2W",
  "totalW",
  "l1Loading",
  "l2Loading",
  "totalLoading",
  "neutralA",
  "passThroughLoading",
  "passThroughA",
  "passThroughL1A",
  "passThroughL2A",
  "serviceL1A",
  "serviceL2A",
  "loadPartW",
  "solarPartW",
  "dischargeW",
  "chargeW",
  "importW",
  "exportW",
] as const;

export type DerivedColumn = (typeof DERIVED_COLUMNS)[number];

/**
 * An empty frame for the given channels.
 *
 * @param channels numeric channels that the log has
 * @param capacity rows to make room for; it grows when needed
 * @param derivedColumns what is derived there: nothing where rows only wait for their holds
 */
export function createFrame(
  channels: readonly NumericChannel[],
  capacity: number,
  derivedColumns: readonly DerivedColumn[] = DERIVED_COLUMNS,
): Frame {
  const raw: Frame["raw"] = {};
  for (const channel of NUMERIC_CHANNELS) {
    if (channels.includes(channel)) raw[channel] = new Float32Array(capacity);
  }
  const derived = {} as Frame["derived"];
  for (const column of derivedColumns) derived[column] = new Float64Array(capacity);
  return {
    base: 0,
    count: 0,
    held: 0,
    sourced: 0,
    done: 0,
    capacity,
    timesMs: new Float64Array(capacity),
    holdS: new Float64Array(capacity),
    deltaMs: new Float64Array(capacity),
    gapAfter: new Uint8Array(capacity),
    source: new Uint8Array(capacity),
    sourceGap: new Uint8Array(capacity),
    loadSampled: new Uint8Array(capacity),
    fault: new Uint16Array(capacity),
    holdsGiven: false,
    raw,
    nan: new Float32Array(capacity).fill(Number.NaN),
    derived,
  };
}

/**
 * Appends rows `from` to `to` of a series. Channels that the frame has and the series lacks become NaN.
 *
 * @throws RangeError where times don't ascend or columns differ in length.
 */
export function appendRows(frame: Frame, series: Series, from: number, to: number): void {
  const { timesMs } = series;
  const n = to - from;
  if (n <= 0) return;
  if (frame.count + n > frame.capacity) grow(frame, frame.count + n);
  let before = frame.count > 0 ? frame.timesMs[frame.count - 1] : Number.NEGATIVE_INFINITY;
  for (let i = from; i < to; i++) {
    const at = timesMs[i];
    if (!(at > before)) {
      throw new RangeError(`appendRows requires strictly ascending times, got ${at} after ${before}`);
    }
    before = at;
  }
  frame.timesMs.set(timesMs.subarray(from, to), frame.count);
  for (const channel of NUMERIC_CHANNELS) {
    const target = frame.raw[channel];
    if (target === undefined) continue;
    const column = series.channels[channel];
    if (column === undefined) target.fill(Number.NaN, frame.count, frame.count + n);
    else {
      if (column.length !== timesMs.length) {
        throw new RangeError(`appendRows requires columns of equal length, got ${channel} ${column.length}`);
      }
      target.set(column.subarray(from, to), frame.count);
    }
  }
  if (series.sources === null) frame.source.fill(0, frame.count, frame.count + n);
  else frame.source.set(series.sources.subarray(from, to), frame.count);
  if (series.faults === null) frame.fault.fill(0, frame.count, frame.count + n);
  else frame.fault.set(series.faults.subarray(from, to), frame.count);
  frame.sourceGap.fill(0, frame.count, frame.count + n);
  frame.loadSampled.fill(1, frame.count, frame.count + n);
  frame.count += n;
}

/**
 * Rows whose holds are known already: the union of several loggers (definitions D1). All columns have the length
 * of `timesMs`. A value is that of its own logger's sample in force; where that logger has none in force the
 * channel is NaN, the source unknown and the fault 0.
 */
export type HeldSeries = Series & {
  /** How long the row stands, seconds. */
  readonly holdS: Float64Array;
  /**
   * Nominal interval in ms, for the windows of D6 and for what an interval could have hidden: that of the
   * logger that gives the load (the longest where several do), as of its latest sample; of the first logger
   * that has had a sample where none gives the load, or none of those had one yet.
   */
  readonly deltaMs: Float64Array;
  /** 1 where no logger has a sample in force after the row's hold: a gap of the union, or the end. */
  readonly gapAfter: Uint8Array;
  /**
   * 1 where the source's own logger has no sample in force: in its gap, before its first, after its last.
   * Without a source column, where that is so of a logger with load or grid power, which the state is
   * derived from. Where the state is unknown and this is 1, a gap lies there (D5): the stretch takes no state
   * from around it, and what is under way is left open as at `gapAfter`.
   */
  readonly sourceGap: Uint8Array;
  /**
   * 1 where a logger that gives load has a sample of its own, 0 where only its last one still stands, 2 where it has
   * none in force: what lies between neighbouring samples (D6) is looked for between rows with 1, not over one
   * with 2. 1 everywhere if none gives load.
   */
  readonly loadSampled: Uint8Array;
};

/** Appends rows `from` to `to` of a series whose holds are known. A frame takes either kind, not both. */
export function appendHeldRows(frame: Frame, series: HeldSeries, from: number, to: number): void {
  const at = frame.count;
  appendRows(frame, series, from, to);
  frame.holdS.set(series.holdS.subarray(from, to), at);
  frame.deltaMs.set(series.deltaMs.subarray(from, to), at);
  frame.gapAfter.set(series.gapAfter.subarray(from, to), at);
  frame.sourceGap.set(series.sourceGap.subarray(from, to), at);
  frame.loadSampled.set(series.loadSampled.subarray(from, to), at);
  frame.holdsGiven = true;
  frame.held = frame.count;
}

/** Drops the rows before `row`, which must not lie beyond `done`. */
export function dropRowsBefore(frame: Frame, row: number): void {
  if (row <= 0) return;
  if (row > frame.done) throw new RangeError(`dropRowsBefore requires a row up to ${frame.done}, got ${row}`);
  const { count } = frame;
  for (const column of columnsOf(frame)) column.copyWithin(0, row, count);
  frame.base += row;
  frame.count -= row;
  frame.held -= row;
  frame.sourced -= row;
  frame.done -= row;
}

/** First row of the window at or after `atMs`, at most `count`. */
export function firstRowAt(frame: Frame, atMs: number): number {
  let low = 0;
  let high = frame.count;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (frame.timesMs[middle] < atMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * A copy of a frame with no more than its rows, and nothing that depends on how it came to them: what lies
 * beyond a stage is zeroed, and rows are counted from the window's beginning. Two frames that hold the same
 * rows pack to the same bytes; `unpackFrame` makes room again.
 */
export function packFrame(frame: Frame): Frame {
  const { count, held, sourced } = frame;
  const packed = createFrame(Object.keys(frame.raw) as NumericChannel[], count, derivedOf(frame));
  packed.timesMs.set(frame.timesMs.subarray(0, count));
  packed.holdS.set(frame.holdS.subarray(0, held));
  packed.deltaMs.set(frame.deltaMs.subarray(0, held));
  packed.gapAfter.set(frame.gapAfter.subarray(0, held));
  packed.source.set(frame.source.subarray(0, count));
  packed.sourceGap.set(frame.sourceGap.subarray(0, count));
  packed.loadSampled.set(frame.loadSampled.subarray(0, count));
  packed.fault.set(frame.fault.subarray(0, count));
  for (const channel of NUMERIC_CHANNELS) {
    const column = frame.raw[channel];
    if (column !== undefined) packed.raw[channel]?.set(column.subarray(0, count));
  }
  for (const column of derivedOf(frame)) {
    packed.derived[column].set(frame.derived[column].subarray(0, sourced));
  }
  return {
    ...packed,
    nan: new Float32Array(0),
    count,
    held,
    sourced,
    done: frame.done,
    holdsGiven: frame.holdsGiven,
  };
}

/** The frame that `packFrame` packed, with room for `capacity` rows at least. */
export function unpackFrame(packed: Frame, capacity: number): Frame {
  const frame = packFrame(packed);
  grow(frame, Math.max(capacity, packed.count));
  return frame;
}

function derivedOf(frame: Frame): DerivedColumn[] {
  return Object.keys(frame.derived) as DerivedColumn[];
}

type Column = Float64Array | Float32Array | Uint8Array | Uint16Array;

function columnsOf(frame: Frame): Column[] {
  return [
    frame.timesMs,
    frame.holdS,
    frame.deltaMs,
    frame.gapAfter,
    frame.source,
    frame.sourceGap,
    frame.loadSampled,
    frame.fault,
    ...(Object.values(frame.raw) as Float32Array[]),
    ...Object.values(frame.derived),
  ];
}

function grow(frame: Frame, needed: number): void {
  const capacity = Math.max(needed, frame.capacity * 2);
  frame.timesMs = longer(frame.timesMs, new Float64Array(capacity));
  frame.holdS = longer(frame.holdS, new Float64Array(capacity));
  frame.deltaMs = longer(frame.deltaMs, new Float64Array(capacity));
  frame.gapAfter = longer(frame.gapAfter, new Uint8Array(capacity));
  frame.source = longer(frame.source, new Uint8Array(capacity));
  frame.sourceGap = longer(frame.sourceGap, new Uint8Array(capacity));
  frame.loadSampled = longer(frame.loadSampled, new Uint8Array(capacity));
  frame.fault = longer(frame.fault, new Uint16Array(capacity));
  for (const channel of NUMERIC_CHANNELS) {
    const column = frame.raw[channel];
    if (column !== undefined) frame.raw[channel] = longer(column, new Float32Array(capacity));
  }
  for (const column of derivedOf(frame)) {
    frame.derived[column] = longer(frame.derived[column], new Float64Array(capacity));
  }
  frame.nan = new Float32Array(capacity).fill(Number.NaN);
  frame.capacity = capacity;
}

function longer<C extends Column>(column: C, target: C): C {
  target.set(column);
  return target;
}
