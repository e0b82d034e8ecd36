/**
 * Where the bytes of a log come from. `open` can be called again: a log that turns out not to be in order
 * is read a second time.
 */
export type LogSource = {
  readonly name: string;
  open(): AsyncIterable<Uint8Array>;
  /** Null where it isn't known beforehand. */
  readonly sizeBytes: number | null;
};
