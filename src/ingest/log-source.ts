/**
 * Where the bytes of a log come from. `open` can be called again: a log that turns out not to be in order
 * is read a second time.
 */
export type LogSource = {
  readonly name: string;
  readonly open: () => AsyncIterable<Uint8Array>;
  /** Null where it isn't known beforehand. */
  readonly sizeBytes: number | null;
  /** Bytes from one place to another, where the log is in a file that can be read anywhere. */
  readonly range?: (from: number, to: number) => AsyncIterable<Uint8Array>;
  /** Which file it is (device and inode), where the system says; another file has another one. */
  readonly fileId?: string;
};
