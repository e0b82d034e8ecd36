import type { Frame } from "../../src/analysis/frame";
import { createHoldState, type HoldState, settleHolds } from "../../src/analysis/holds";
import type { NumericChannel, Series } from "../../src/analysis/series";
import { SOURCES } from "../../src/analysis/series";

/** One UTC minute of a logger, as it is stored. The arrays are by the channels of the rollup, NaN = no value. */
export type Minute = {
  minuteMs: number;
  samples: number;
  heldS: number;
  mean: Float64Array;
  min: Float64Array;
  max: Float64Array;
  /** Held seconds by source, in the order of SOURCES. */
  onS: Float64Array;
};

/** Builds minutes out of samples that come in ascending chunks. */
export type MinuteRollup = {
  push(series: Series): void;
  /**
   * No more samples come. The last one holds until `nextMs`, the logger's next stored sample, where given
   * and not a gap away, else for the nominal interval.
   */
  finish(nextMs: number | null): void;
  /** Intervals as found so far: what the next log of this logger begins with. */
  intervals(): HoldState;
};

const MINUTE_MS = 60_000;

/**
 * Rolls samples up into UTC minutes by their holds (definitions D1); a hold over a minute's edge counts on
 * each side. `emit` is called once per minute, ascending; its argument is used again for the next one.
 *
 * @param known intervals of the logger where it has samples already
 */
export function createMinuteRollup(
  channels: readonly NumericChannel[],
  emit: (minute: Minute) => void,
  known: Pick<HoldState, "nominalMs" | "segmentMs"> | null = null,
): MinuteRollup {
  const state: HoldState = { ...createHoldState(), ...known };
  const count = channels.length;
  let window = openWindow(count, 4096);
  const held = new Float64Array(count);
  const sum = new Float64Array(count);
  const minute: Minute = {
    minuteMs: Number.NaN,
    samples: 0,
    heldS: 0,
    mean: new Float64Array(count),
    min: new Float64Array(count).fill(Number.NaN),
    max: new Float64Array(count).fill(Number.NaN),
    onS: new Float64Array(SOURCES.length),
  };

  function open(minuteMs: number): void {
    close();
    minute.minuteMs = minuteMs;
  }
  function close(): void {
    if (Number.isNaN(minute.minuteMs)) return;
    for (let c = 0; c < count; c++) minute.mean[c] = held[c] > 0 ? sum[c] / held[c] : Number.NaN;
    emit(minute);
    minute.minuteMs = Number.NaN;
    minute.samples = 0;
    minute.heldS = 0;
    minute.min.fill(Number.NaN);
    minute.max.fill(Number.NaN);
    minute.onS.fill(0);
    held.fill(0);
    sum.fill(0);
  }
  function take(row: number, holdMs: number): void {
    const atMs = window.frame.timesMs[row];
    const endMs = atMs + holdMs;
    let fromMs = atMs;
    do {
      const minuteMs = Math.floor(fromMs / MINUTE_MS) * MINUTE_MS;
      if (minuteMs !== minute.minuteMs) open(minuteMs);
      const toMs = Math.min(endMs, minuteMs + MINUTE_MS);
      const partS = (toMs - fromMs) / 1000;
      if (fromMs === atMs) minute.samples++;
      minute.heldS += partS;
      minute.onS[window.sources[row]] += partS;
      for (let c = 0; c < count; c++) {
        const value = window.columns[c][row];
        if (Number.isNaN(value)) continue;
        held[c] += partS;
        sum[c] += value * partS;
        // Comparisons with NaN are false: the first value of the minute gets in.
        if (!(value >= minute.min[c])) minute.min[c] = value;
        if (!(value <= minute.max[c])) minute.max[c] = value;
      }
      fromMs = toMs;
    } while (fromMs < endMs);
  }
  function takeSettled(): void {
    const { frame } = window;
    for (let row = 0; row < frame.held; row++) take(row, frame.holdS[row] * 1000);
    dropSettled(window);
  }

  return {
    push(series) {
      window = append(window, series, channels);
      settleHolds(window.frame as Frame, state, false);
      takeSettled();
    },
    finish(nextMs) {
      const { frame } = window;
      settleHolds(frame as Frame, state, true);
      const last = frame.count - 1;
      if (nextMs !== null && last >= 0) {
        const difference = nextMs - frame.timesMs[last];
        if (!(difference > 3 * frame.deltaMs[last])) frame.holdS[last] = difference / 1000;
      }
      takeSettled();
      close();
    },
    intervals: () => state,
  };
}

/** The part of a frame that holds are settled on, with the columns that go along. */
type Window = {
  frame: Pick<Frame, "timesMs" | "holdS" | "deltaMs" | "gapAfter" | "count" | "held">;
  columns: Float32Array[];
  sources: Uint8Array;
};

function openWindow(channels: number, capacity: number): Window {
  return {
    frame: {
      timesMs: new Float64Array(capacity),
      holdS: new Float64Array(capacity),
      deltaMs: new Float64Array(capacity),
      gapAfter: new Uint8Array(capacity),
      count: 0,
      held: 0,
    },
    columns: Array.from({ length: channels }, () => new Float32Array(capacity)),
    sources: new Uint8Array(capacity),
  };
}

function append(window: Window, series: Series, channels: readonly NumericChannel[]): Window {
  const { count } = window.frame;
  const needed = count + series.timesMs.length;
  let target = window;
  if (needed > window.frame.timesMs.length) {
    target = openWindow(channels.length, needed * 2);
    target.frame.count = count;
    target.frame.held = window.frame.held;
    target.frame.timesMs.set(window.frame.timesMs.subarray(0, count));
    target.sources.set(window.sources.subarray(0, count));
    for (const [c, column] of target.columns.entries()) column.set(window.columns[c].subarray(0, count));
  }
  target.frame.timesMs.set(series.timesMs, count);
  for (const [c, column] of target.columns.entries()) column.set(series.channels[channels[c]]!, count);
  if (series.sources === null) target.sources.fill(0, count, needed);
  else target.sources.set(series.sources, count);
  target.frame.count = needed;
  return target;
}

/** Rows below `held` are done with; the others move to the front. */
function dropSettled({ frame, columns, sources }: Window): void {
  const { held, count } = frame;
  frame.timesMs.copyWithin(0, held, count);
  sources.copyWithin(0, held, count);
  for (const column of columns) column.copyWithin(0, held, count);
  frame.count = count - held;
  frame.held = 0;
}
