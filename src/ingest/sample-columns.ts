import type { LogShape, SampleBatch } from "./sample-sink";

/** Samples of one batch as growing columns; used again for every batch of a log. */
export type SampleColumns = {
  n: number;
  readonly capacity: number;
  readonly timesMs: Float64Array;
  /** Per channel, in the order of the shape. */
  readonly values: readonly Float32Array[];
  readonly sources: Uint8Array;
  readonly faults: Uint16Array;
  readonly lines: Uint32Array;
  /** Readings in Wh, per column of energy; what becomes of them is settled by `createPowerFromEnergy`. */
  readonly energies: readonly Float64Array[];
};

/** Empty columns for so many samples of that shape, with so many columns of energy beside them. */
export function createSampleColumns(shape: LogShape, capacity: number, energyColumns: number): SampleColumns {
  return {
    n: 0,
    capacity,
    timesMs: new Float64Array(capacity),
    values: shape.channels.map(() => new Float32Array(capacity)),
    sources: new Uint8Array(capacity),
    faults: new Uint16Array(capacity),
    lines: new Uint32Array(capacity),
    energies: Array.from({ length: energyColumns }, () => new Float64Array(capacity)),
  };
}

/** The first `n` samples as a batch: views on the columns, no copies. */
export function batchOf(columns: SampleColumns, shape: LogShape, n: number): SampleBatch {
  const channels: { [name: string]: Float32Array } = {};
  for (let k = 0; k < shape.channels.length; k++)
    channels[shape.channels[k]] = columns.values[k].subarray(0, n);
  return {
    timesMs: columns.timesMs.subarray(0, n),
    channels,
    sources: shape.hasSource ? columns.sources.subarray(0, n) : null,
    faults: shape.hasFault ? columns.faults.subarray(0, n) : null,
    lines: columns.lines.subarray(0, n),
  };
}
