import type { LogChannel } from "./parse-scenario";

/** How a log samples: its interval, and means over it or values at the stamp's instant. */
export type LogSampling = { intervalS: number; sampling: "mean" | "instant" };

/**
 * Rows of a log as columns, in base units, discharge and import positive. `log` is its index among the logs of
 * the simulation. `timesS` are the beginnings of the intervals. Sources: 1 inverter, 2 utility. Faults: index
 * + 1 into `faultCodes` of the simulation, 0 = none. The arrays are used again for the log's next batch.
 */
export type RowBatch = {
  readonly log: number;
  readonly rows: number;
  readonly timesS: Float64Array;
  readonly values: Readonly<Record<LogChannel, Float64Array>>;
  readonly sources: Uint8Array;
  readonly faults: Uint16Array;
};

/** Turns seconds into the rows of one log. */
export type LogSampler = {
  readonly sampling: LogSampling["sampling"];
  /** Offers the state at the instant `s`. */
  instant(s: number, row: Float64Array, onUtility: boolean, fault: number): void;
  /** Offers what held on average over the second from `s`; state and fault are those at its end. */
  second(s: number, row: Float64Array, onUtility: boolean, fault: number): void;
  /** The rows so far if the batch is full, or whatever there is at the end; null for none. */
  take(atEnd: boolean): RowBatch | null;
};

/** The channels of a row, in the order of its values. */
export const SAMPLED: readonly LogChannel[] = [
  "loadL1W",
  "loadL2W",
  "loadL1V",
  "loadL2V",
  "solarW",
  "batteryA",
  "batteryV",
  "batterySocPct",
  "gridW",
  "inverterTempC",
];

const BATCH_ROWS = 4096;

/** The sampler of the log with this index, its first row at `fromS`; stamps in a gap give no row. */
export function createLogSampler(
  log: number,
  { intervalS, sampling }: LogSampling,
  fromS: number,
  gaps: readonly { fromS: number; toS: number }[],
): LogSampler {
  const batch = emptyBatch();
  const sums = new Float64Array(SAMPLED.length);
  let rows = 0;

  function emit(stampS: number, row: Float64Array, onUtility: boolean, fault: number) {
    for (const gap of gaps) if (stampS >= gap.fromS && stampS < gap.toS) return;
    batch.timesS[rows] = stampS;
    for (let c = 0; c < SAMPLED.length; c++) batch.values[SAMPLED[c]][rows] = row[c];
    batch.sources[rows] = onUtility ? 2 : 1;
    batch.faults[rows] = fault;
    rows++;
  }

  return {
    sampling,
    instant(s, row, onUtility, fault) {
      if (s >= fromS && (s - fromS) % intervalS === 0) emit(s, row, onUtility, fault);
    },
    second(s, row, onUtility, fault) {
      if (s < fromS) return;
      for (let c = 0; c < row.length; c++) sums[c] += row[c];
      if ((s + 1 - fromS) % intervalS !== 0) return;
      for (let c = 0; c < row.length; c++) sums[c] /= intervalS;
      emit(s + 1 - intervalS, sums, onUtility, fault);
      sums.fill(0);
    },
    take(atEnd) {
      if (rows === 0 || (rows < BATCH_ROWS && !atEnd)) return null;
      const taken = { ...batch, log, rows };
      rows = 0;
      return taken;
    },
  };
}

function emptyBatch() {
  const values = {} as Record<LogChannel, Float64Array>;
  for (const channel of SAMPLED) values[channel] = new Float64Array(BATCH_ROWS);
  return {
    timesS: new Float64Array(BATCH_ROWS),
    values,
    sources: new Uint8Array(BATCH_ROWS),
    faults: new Uint16Array(BATCH_ROWS),
  };
}
