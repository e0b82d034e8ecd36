import type { FaultWord, NumericChannel, Series } from "../analysis/series";

/** What a log turned out to hold, told to the sink before the first batch. */
export type LogShape = {
  /** Numeric channels of the map, in NUMERIC_CHANNELS order; the same in every batch. */
  readonly channels: readonly NumericChannel[];
  readonly hasSource: boolean;
  readonly hasFault: boolean;
};

/** A run of samples in ascending time, and the physical line (from 1) on which each began. */
export type SampleBatch = Series & { readonly lines: Uint32Array };

/**
 * What became of rows that the sink did not store because the site has a sample at that instant already:
 * equal values are duplicates, other values are conflicts (the first one stands). Counts are exact, the
 * lines of conflicts are capped by the sink.
 */
export type SinkCounts = {
  readonly duplicates: number;
  readonly conflicts: number;
  readonly conflictLines: readonly number[];
};

/**
 * Where samples go. `src/ingest` declares it, `db` and the command line implement it. Calls come one after
 * the other, each awaited; batches and the samples in them ascend strictly in time. A batch's arrays are
 * the sink's only until its promise settles: they may be used again for the next batch.
 */
export type SampleSink = {
  begin(shape: LogShape): Promise<void>;
  batch(batch: SampleBatch): Promise<void>;
  /**
   * The log turned out not to be in order: everything handed over since `begin` is void and comes again,
   * sorted, after another `begin`.
   */
  restart(): Promise<void>;
  /**
   * All samples are in. The fault words met, by index (a sample's fault is index + 1). Returns what
   * was not stored because the same instant was there already.
   */
  end(faultWords: readonly FaultWord[]): Promise<SinkCounts>;
};
