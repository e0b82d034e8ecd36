import type { MinuteColumn, Minutes } from "./minutes";
import type { NumericChannel } from "./series";

/** A stretch in which a channel gave one and the same value. Instants epoch ms. */
export type StillRun = {
  fromMs: number;
  /** End of its last minute. */
  toMs: number;
  value: number;
  /** Minutes with samples in it. */
  steps: number;
  /** How many of those minutes brought another value in some other channel of the same logger. */
  othersMoved: number;
};

/** How often a channel changes from one minute with samples to the next, and where it stood still for long. */
export type Stillness = {
  /** Pairs of neighbouring minutes with samples and a value in both. */
  pairs: number;
  /** Those in which the value was another one, or moved inside the second minute. */
  moved: number;
  runs: StillRun[];
};

/** A run is told from this length on. */
const STILL_RUN_S = 3 * 3600;
/** One at the edge of the rows from this on, since it may go on beyond. */
const EDGE_RUN_S = 1800;

/**
 * Channels that never rest by themselves while they are not zero. Leg voltage and frequency are not among them: an
 * inverter holds both to a digit. Nor is the state of charge, which rests with the battery (`restingSoc`).
 */
export const NEVER_STILL: readonly NumericChannel[] = [
  "loadL1W",
  "loadL2W",
  "loadW",
  "loadL1Va",
  "loadL2Va",
  "loadL1A",
  "loadL2A",
  "solarW",
  "solar1W",
  "solar2W",
  "solar3W",
  "solar4W",
  "batteryA",
  "batteryW",
  "gridL1W",
  "gridL2W",
  "gridL1A",
  "gridL2A",
  "gridW",
  "gridV",
  "inverterTempC",
];

/**
 * Runs of one value in a channel over rows `from` to `to` of the minutes: the value is not zero, nothing is missing
 * in between, and it lasts three hours or longer, or half an hour at the edge of the rows, where it may go on beyond.
 * A channel that isn't there stands nowhere still.
 *
 * Whether a run is a sensor that hangs shows only against how often the channel moves otherwise (`frozenRuns`).
 */
export function stillness(minutes: Minutes, channel: NumericChannel, from: number, to: number): Stillness {
  const found: Stillness = { pairs: 0, moved: 0, runs: [] };
  const column = minutes.channels[channel];
  if (column === undefined) return found;
  const others = Object.entries(minutes.channels)
    .filter(([name]) => name !== channel)
    .map(([, other]) => other);
  let run: StillRun | null = null;
  let before = -1;
  const firstMs = minutes.minuteMs[from];
  const endOfLastMs = minutes.minuteMs[to - 1] + MINUTE_MS;
  const close = () => {
    if (run === null) return;
    const { fromMs, toMs } = run;
    const goesOn = fromMs === firstMs || toMs === endOfLastMs;
    if (toMs - fromMs >= (goesOn ? EDGE_RUN_S : STILL_RUN_S) * 1000) found.runs.push(run);
    run = null;
  };
  for (let row = from; row < to; row++) {
    const endMs = minutes.minuteMs[row] + MINUTE_MS;
    const joins = before >= 0 && minutes.minuteMs[row] === minutes.minuteMs[before] + MINUTE_MS;
    if (!joins) close();
    if (minutes.samples[row] === 0) {
      // A hold runs through: the run lasts, and nothing was measured.
      if (run !== null) run.toMs = endMs;
      before = row;
      continue;
    }
    const value = column.min[row];
    const still = value === column.max[row] && value !== 0;
    if (run !== null && still && value === run.value) {
      found.pairs++;
      run.toMs = endMs;
      run.steps++;
      if (others.some((other) => movedIn(other, row))) run.othersMoved++;
    } else {
      if (joins && !Number.isNaN(value) && !Number.isNaN(column.max[before])) {
        found.pairs++;
        if (value !== column.max[before] || !still) found.moved++;
      }
      close();
      if (still) run = { fromMs: minutes.minuteMs[row], toMs: endMs, value, steps: 1, othersMoved: 0 };
    }
    before = row;
  }
  close();
  return found;
}

/** A run as likely by chance as e to the minus this counts as frozen. */
const FROZEN_NATS = 40;

/**
 * Runs in which a channel hung, out of the days of a period in order; runs that meet at a day's edge are one. So long
 * a rest by chance, (1 − moved/pairs)^steps with the moves of the rest of the period, is less likely than e⁻⁴⁰; it
 * lasts three hours or longer, and other channels moved in half of its minutes.
 */
export function frozenRuns(days: readonly Stillness[]): StillRun[] {
  const runs: StillRun[] = [];
  for (const run of days.flatMap((day) => day.runs)) {
    const last = runs.at(-1);
    if (last !== undefined && last.toMs === run.fromMs && last.value === run.value) {
      last.toMs = run.toMs;
      last.steps += run.steps;
      last.othersMoved += run.othersMoved;
    } else runs.push({ ...run });
  }
  const long = runs.filter((run) => run.toMs - run.fromMs >= STILL_RUN_S * 1000);
  const moved = days.reduce((sum, day) => sum + day.moved, 0);
  const resting = long.reduce((sum, run) => sum + run.steps - 1, 0);
  const pairs = days.reduce((sum, day) => sum + day.pairs, 0) - resting;
  if (pairs <= 0) return [];
  // One more pair: a channel that moved every time could still rest once.
  const nats = -Math.log1p(-moved / (pairs + 1));
  return long.filter((run) => run.othersMoved * 2 >= run.steps && run.steps * nats > FROZEN_NATS);
}

const MINUTE_MS = 60_000;

function movedIn({ min, max }: MinuteColumn, row: number): boolean {
  return min[row] !== max[row] || (row > 0 && max[row] !== max[row - 1]);
}
