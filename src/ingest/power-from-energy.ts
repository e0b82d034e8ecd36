import type { Frame } from "../analysis/frame";
import { createHoldState, type HoldState, settleHolds } from "../analysis/holds";
import type { NumericChannel } from "../analysis/series";
import type { EnergyForm } from "../site/column-map-schema";
import type { ErrorCode } from "./error-catalogue";
import { createSampleColumns, type SampleColumns } from "./sample-columns";
import type { LogShape } from "./sample-sink";

/** A power channel that a log has as energy. */
export type EnergyChannel = {
  readonly channel: NumericChannel;
  /** Place of its values in the sample columns. */
  readonly values: number;
  readonly form: EnergyForm;
  /** Place of its readings among the energies: of its only column, or of the one that counts up in a one-way pair. */
  readonly plus: number;
  /** Place of the readings that count down; -1 where there is one column. */
  readonly minus: number;
  readonly sign: 1 | -1;
  /** Bounds of the power in W. */
  readonly min: number;
  readonly max: number;
};

/** A cell of energy that gives no power: the code, its line, the energies column, and the readings in Wh as text. */
export type EnergyProblem = (
  code: Extract<ErrorCode, "cell.counter-reset" | "cell.counter-gap" | "cell.out-of-range">,
  line: number,
  energy: number,
  wh: readonly number[],
) => void;

/** A counter whose steps are so coarse that a sample's power is not worth much. */
export type CoarseCounter = {
  readonly channel: NumericChannel;
  /** What all its steps are multiples of. */
  readonly resolutionWh: number;
  /** The power that one such step means within one nominal interval. */
  readonly stepW: number;
};

/** Makes powers of energies, for samples that come in ascending time. */
export type PowerFromEnergy = {
  /** Takes the first `n` samples of columns, and gives those of which all powers are known by now. */
  push(from: SampleColumns): SampleColumns;
  /** No more samples come: gives the rest. */
  end(): SampleColumns;
  /** To be called when what was given has been handed over. */
  handedOver(): void;
  coarse(): readonly CoarseCounter[];
  /** Intervals in which solar energy was a little under zero, taken as zero. */
  solarBelowZero(): number;
  /** Line of the first sample that waits; null where none does. Problems to come are on it or below. */
  firstLine(): number | null;
  /** Everything that it carries, as plain data. */
  state(): PowerFromEnergyState;
};

/** What is carried from chunk to chunk, with the samples that wait. Plain data. */
export type PowerFromEnergyState = {
  holds: HoldState;
  /** Rows of the window that were looked at as readings. */
  read: number;
  counters: CounterState[];
  solarBelowZero: number;
  waiting: {
    timesMs: Float64Array;
    values: Float32Array[];
    sources: Uint8Array;
    faults: Uint16Array;
    lines: Uint32Array;
    energies: Float64Array[];
    holdS: Float64Array;
    deltaMs: Float64Array;
    gapAfter: Uint8Array;
    held: number;
  };
};

/** One counter column on its way through the log. */
type CounterState = {
  /** Its last reading, NaN before the first. */
  lastMs: number;
  lastWh: number;
  /** Nominal interval there. */
  lastDeltaMs: number;
  /** Stretches between successive readings and the mean power in each, NaN where there is none: ascending, adjoining. */
  fromMs: number[];
  toMs: number[];
  powerW: number[];
  /** The first of them that a hold to come can reach into. */
  at: number;
  /** Greatest common divisor of the steps, in MILLIWH; 0 before the first. */
  step: number;
  steps: number;
  /** The first rise in MILLIWH, NaN before it; and whether another was seen: of equal rises nothing tells the resolution. */
  firstRise: number;
  varied: boolean;
};

/** A stretch between two readings longer than this many nominal intervals is a hole (definitions D1). */
const GAP_INTERVALS = 3;
/** Thousandths of a Wh: what steps are counted in. */
const MILLIWH = 1000;
/** A counter whose step means more power than this within one interval is called coarse. */
const COARSE_STEP_W = 100;
/** Steps seen before anything is said of them. */
const COARSE_STEPS = 5;
const MS_PER_H = 3_600_000;

/**
 * Powers from energy columns, sample by sample, the same whatever the chunks.
 *
 * A counter's reading stands at the stamp of its row; between two readings the power is the difference over the time
 * between them. A sample's power is the mean of that over the sample's own hold: for a log that stamps the start the
 * difference to the next reading, for one that stamps the end (`shiftMs` > 0, the hold lies before the stamp) the
 * difference from the reading before. So power times hold is what the counter counted, with uneven stamps too. Readings
 * that are missing in between are bridged up to three nominal intervals. There is no power (NaN) across a longer hole
 * (cell.counter-gap), across a fall (cell.counter-reset), nor where it would be beyond the channel's bounds
 * (cell.out-of-range), nor before the first reading or after the last.
 *
 * Energy of the interval gives its power by division by the hold.
 *
 * All arithmetic is float64; a power is rounded to float32 once.
 *
 * @param shiftMs how far stamps are moved back; times here are as they were written
 */
export function createPowerFromEnergy(
  shape: LogShape,
  channels: readonly EnergyChannel[],
  energyColumns: number,
  shiftMs: number,
  problem: EnergyProblem,
  known: PowerFromEnergyState | null = null,
): PowerFromEnergy {
  const holds = known?.holds ?? createHoldState();
  const counters: CounterState[] = known?.counters ?? [];
  if (known === null) for (let e = 0; e < energyColumns; e++) counters.push(createCounter());
  const limitW = new Float64Array(energyColumns);
  const isCounter = new Uint8Array(energyColumns);
  for (const { plus, minus, min, max, form } of channels) {
    for (const e of minus < 0 ? [plus] : [plus, minus]) {
      limitW[e] = Math.max(Math.abs(min), Math.abs(max));
      isCounter[e] = form === "counter" ? 1 : 0;
    }
  }
  let window = openWindow(shape, energyColumns, 4096);
  /** Rows that were looked at as readings. */
  let read = 0;
  /** Rows whose powers are known. */
  let done = 0;
  let solarBelowZero = known?.solarBelowZero ?? 0;
  if (known !== null) {
    window = openWindow(shape, energyColumns, Math.max(4096, 2 * known.waiting.timesMs.length));
    restoreWindow(window, known);
    read = known.read;
  }

  function settle(last: boolean): void {
    const { frame, columns } = window;
    frame.count = columns.n;
    settleHolds(frame as Frame, holds, last);
    for (; read < frame.held; read++)
      for (let e = 0; e < energyColumns; e++) if (isCounter[e]) takeReading(e);
    const latestMs = read > 0 ? columns.timesMs[read - 1] : Number.NEGATIVE_INFINITY;
    while (done < read && allKnown(done, latestMs, last)) {
      for (const one of channels) columns.values[one.values][done] = powerOf(one, done);
      done++;
    }
  }

  function takeReading(e: number): void {
    const { columns, frame } = window;
    const wh = columns.energies[e][read];
    if (Number.isNaN(wh)) return;
    const counter = counters[e];
    const atMs = columns.timesMs[read];
    if (!Number.isNaN(counter.lastWh)) {
      const line = columns.lines[read];
      const differenceMs = atMs - counter.lastMs;
      const rise = wh - counter.lastWh;
      let powerW = (rise * MS_PER_H) / differenceMs;
      if (rise < 0) {
        problem("cell.counter-reset", line, e, [counter.lastWh, wh]);
        powerW = Number.NaN;
      } else if (differenceMs > GAP_INTERVALS * counter.lastDeltaMs) {
        problem("cell.counter-gap", line, e, [counter.lastWh, wh]);
        powerW = Number.NaN;
      } else if (powerW > limitW[e]) {
        problem("cell.out-of-range", line, e, [counter.lastWh, wh]);
        powerW = Number.NaN;
      } else countStep(counter, rise);
      counter.fromMs.push(counter.lastMs);
      counter.toMs.push(atMs);
      counter.powerW.push(powerW);
    }
    counter.lastMs = atMs;
    counter.lastWh = wh;
    counter.lastDeltaMs = frame.deltaMs[read];
  }

  /** Whether nothing that is still to come can change the powers of a row. */
  function allKnown(row: number, latestMs: number, last: boolean): boolean {
    if (last) return true;
    const { columns, frame } = window;
    const untilMs = columns.timesMs[row] - shiftMs + frame.holdS[row] * 1000;
    for (let e = 0; e < energyColumns; e++) {
      if (isCounter[e] === 0) continue;
      const { lastMs, lastDeltaMs, lastWh } = counters[e];
      if (Number.isNaN(lastWh) || lastMs >= untilMs) continue;
      if (!(latestMs - lastMs > GAP_INTERVALS * lastDeltaMs)) return false;
    }
    return true;
  }

  function powerOf({ form, plus, minus, sign, min, max, channel }: EnergyChannel, row: number): number {
    const { columns, frame } = window;
    let powerW: number;
    if (form === "counter") {
      const fromMs = columns.timesMs[row] - shiftMs;
      const untilMs = fromMs + frame.holdS[row] * 1000;
      powerW = meanOf(counters[plus], fromMs, untilMs);
      if (minus >= 0) powerW -= meanOf(counters[minus], fromMs, untilMs);
    } else {
      let wh = columns.energies[plus][row];
      // Of a one-way pair the idle side is often left empty; both empty is missing.
      if (minus >= 0) {
        const down = columns.energies[minus][row];
        wh = Number.isNaN(wh) ? -down : Number.isNaN(down) ? wh : wh - down;
      }
      powerW = frame.holdS[row] > 0 ? (wh * 3600) / frame.holdS[row] : Number.NaN;
    }
    powerW *= sign;
    if (Number.isNaN(powerW)) return Number.NaN;
    if (!(powerW >= min && powerW <= max)) {
      const readings = [columns.energies[plus][row]];
      if (minus >= 0) readings.push(columns.energies[minus][row]);
      problem("cell.out-of-range", columns.lines[row], plus, readings);
      return Number.NaN;
    }
    if (powerW < 0 && channel.startsWith("solar")) {
      solarBelowZero++;
      return 0;
    }
    // Adding 0 turns -0, which a sign can make, into 0.
    return powerW + 0;
  }

  return {
    push(from) {
      window = append(window, from, shape, energyColumns);
      settle(false);
      return given(window.columns, done);
    },
    end() {
      settle(true);
      return given(window.columns, done);
    },
    handedOver() {
      dropFirst(window, done);
      read -= done;
      done = 0;
      for (const counter of counters) forget(counter);
    },
    solarBelowZero: () => solarBelowZero,
    firstLine: () => (window.columns.n > 0 ? window.columns.lines[0] : null),
    coarse() {
      const found: CoarseCounter[] = [];
      for (const { channel, form, plus, minus } of channels) {
        if (form !== "counter" || !(holds.nominalMs > 0)) continue;
        let resolutionWh = 0;
        for (const e of minus < 0 ? [plus] : [plus, minus]) {
          const { step, steps, varied } = counters[e];
          if (varied && steps >= COARSE_STEPS) resolutionWh = Math.max(resolutionWh, step / MILLIWH);
        }
        const stepW = (resolutionWh * MS_PER_H) / holds.nominalMs;
        if (stepW > COARSE_STEP_W) found.push({ channel, resolutionWh, stepW });
      }
      return found;
    },
    state: () => ({ holds, read, counters, solarBelowZero, waiting: savedWindow(window) }),
  };
}

function createCounter(): CounterState {
  return {
    lastMs: Number.NaN,
    lastWh: Number.NaN,
    lastDeltaMs: Number.NaN,
    fromMs: [],
    toMs: [],
    powerW: [],
    at: 0,
    step: 0,
    steps: 0,
    firstRise: Number.NaN,
    varied: false,
  };
}

/** Mean power of a counter over a stretch of time that begins no earlier than the one before; NaN where any part has none. */
function meanOf(counter: CounterState, startMs: number, endMs: number): number {
  const { fromMs, toMs, powerW } = counter;
  while (counter.at < toMs.length && toMs[counter.at] <= startMs) counter.at++;
  const first = counter.at;
  if (!(endMs > startMs) || first === toMs.length || fromMs[first] > startMs) return Number.NaN;
  if (toMs[first] >= endMs) return powerW[first];
  let sum = 0;
  let coveredMs = startMs;
  for (let i = first; i < toMs.length && coveredMs < endMs; i++) {
    const untilMs = Math.min(toMs[i], endMs);
    sum += powerW[i] * (untilMs - coveredMs);
    coveredMs = untilMs;
  }
  return coveredMs < endMs ? Number.NaN : sum / (endMs - startMs);
}

/** Takes stretches away that no hold to come reaches into. */
function forget(counter: CounterState): void {
  counter.fromMs.splice(0, counter.at);
  counter.toMs.splice(0, counter.at);
  counter.powerW.splice(0, counter.at);
  counter.at = 0;
}

function countStep(counter: CounterState, rise: number): void {
  const step = Math.round(rise * MILLIWH);
  if (Number.isNaN(counter.firstRise)) counter.firstRise = step;
  else if (step !== counter.firstRise) counter.varied = true;
  if (step === 0) return;
  counter.steps++;
  if (counter.step === 1) return;
  let a = counter.step;
  let b = step;
  while (b > 0) {
    const rest = a % b;
    a = b;
    b = rest;
  }
  counter.step = a;
}

/** Samples that wait, with their holds. */
type Window = {
  frame: Pick<Frame, "timesMs" | "holdS" | "deltaMs" | "gapAfter" | "count" | "held">;
  columns: SampleColumns;
};

function openWindow(shape: LogShape, energyColumns: number, capacity: number): Window {
  const columns = createSampleColumns(shape, capacity, energyColumns);
  return {
    columns,
    frame: {
      timesMs: columns.timesMs,
      holdS: new Float64Array(capacity),
      deltaMs: new Float64Array(capacity),
      gapAfter: new Uint8Array(capacity),
      count: 0,
      held: 0,
    },
  };
}

function append(window: Window, from: SampleColumns, shape: LogShape, energyColumns: number): Window {
  const { n } = window.columns;
  const needed = n + from.n;
  let target = window;
  if (needed > window.columns.capacity) {
    target = openWindow(shape, energyColumns, 2 * needed);
    copyColumns(window.columns, n, target.columns, 0);
    target.frame.held = window.frame.held;
    target.frame.holdS.set(window.frame.holdS.subarray(0, n));
    target.frame.deltaMs.set(window.frame.deltaMs.subarray(0, n));
    target.frame.gapAfter.set(window.frame.gapAfter.subarray(0, n));
  }
  copyColumns(from, from.n, target.columns, n);
  target.columns.n = needed;
  return target;
}

function copyColumns(from: SampleColumns, n: number, to: SampleColumns, at: number): void {
  to.timesMs.set(from.timesMs.subarray(0, n), at);
  to.sources.set(from.sources.subarray(0, n), at);
  to.faults.set(from.faults.subarray(0, n), at);
  to.lines.set(from.lines.subarray(0, n), at);
  for (const [k, values] of to.values.entries()) values.set(from.values[k].subarray(0, n), at);
  for (const [e, energies] of to.energies.entries()) energies.set(from.energies[e].subarray(0, n), at);
}

/** The same columns with fewer samples. */
function given(columns: SampleColumns, n: number): SampleColumns {
  return { ...columns, n };
}

function dropFirst({ frame, columns }: Window, gone: number): void {
  const { n } = columns;
  for (const column of [
    columns.timesMs,
    columns.sources,
    columns.faults,
    columns.lines,
    ...columns.values,
    ...columns.energies,
    frame.holdS,
    frame.deltaMs,
    frame.gapAfter,
  ]) {
    column.copyWithin(0, gone, n);
  }
  columns.n = n - gone;
  frame.count = columns.n;
  frame.held -= gone;
}

function savedWindow({ frame, columns }: Window): PowerFromEnergyState["waiting"] {
  const { n } = columns;
  return {
    timesMs: columns.timesMs.slice(0, n),
    values: columns.values.map((values) => values.slice(0, n)),
    sources: columns.sources.slice(0, n),
    faults: columns.faults.slice(0, n),
    lines: columns.lines.slice(0, n),
    energies: columns.energies.map((energies) => energies.slice(0, n)),
    holdS: frame.holdS.slice(0, n),
    deltaMs: frame.deltaMs.slice(0, n),
    gapAfter: frame.gapAfter.slice(0, n),
    held: frame.held,
  };
}

function restoreWindow({ frame, columns }: Window, { waiting }: PowerFromEnergyState): void {
  const n = waiting.timesMs.length;
  copyColumns({ ...waiting, n, capacity: n }, n, columns, 0);
  columns.n = n;
  frame.count = n;
  frame.held = waiting.held;
  frame.holdS.set(waiting.holdS);
  frame.deltaMs.set(waiting.deltaMs);
  frame.gapAfter.set(waiting.gapAfter);
}
