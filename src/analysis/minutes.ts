import type { NumericChannel } from "./series";

/** Mean, least and greatest value of a channel by minute; NaN where the minute has none. */
export type MinuteColumn = {
  readonly mean: Float32Array;
  readonly min: Float32Array;
  readonly max: Float32Array;
};

/**
 * Minutes of one logger as columns of equal length, ascending. A minute without samples that a hold runs through is
 * there, with the values held; one that nothing covers is not.
 */
export type Minutes = {
  /** UTC minutes, epoch ms. */
  readonly minuteMs: Float64Array;
  /** Samples that begin in the minute. */
  readonly samples: Int32Array;
  /** Held time in the minute, s. */
  readonly heldS: Float32Array;
  readonly channels: Readonly<Partial<Record<NumericChannel, MinuteColumn>>>;
};
