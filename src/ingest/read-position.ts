import { deserialize, serialize } from "node:v8";
import type { PowerFromEnergyState } from "./power-from-energy";
import type { LogHead } from "./read-head";
import type { RejectsState } from "./rejects";
import type { RowTakerState } from "./row-taker";

/** Goes up with every change of what is kept, or of how a log is read: positions of before don't count then. */
const POSITION_VERSION = 2;

/**
 * Where the reading of a log in order stood after its last whole line, so that it can go on when the log has grown:
 * `continueLog` then gives what reading the whole log would. A last line without its end is not part of it, since it
 * may not have been finished: it is read again.
 */
export type ReadPosition = {
  /** Bytes of the log up to there; the next one begins a line. */
  readonly bytes: number;
  /** What the reader carries, opaque. */
  readonly state: Uint8Array;
  /**
   * The first sample that was handed over after it, as it was stored: with more rows it can become another one (its
   * power may hang on the next reading, its line may not have been finished). Null where there is none.
   */
  readonly tailFromMs: number | null;
};

/** What a reader carries from one line to the next. Plain data. */
export type ReadState = {
  /** Physical line of the next record. */
  line: number;
  head: Omit<LogHead, "rows" | "lines" | "preamble">;
  format: string;
  /** Most decimals of a spreadsheet's days. */
  dayDecimals: number;
  siteZone: string;
  taker: RowTakerState;
  rejects: RejectsState;
  powers: PowerFromEnergyState | null;
  shiftMs: number;
  firstMs: number | null;
  nominalMs: number | null;
};

/** The state as bytes, for a place to keep it. */
export function packReadState(state: ReadState): Uint8Array {
  return serialize({ version: POSITION_VERSION, state });
}

/** The state from bytes; null where another version of the program made them, or they are none. */
export function unpackReadState(bytes: Uint8Array): ReadState | null {
  try {
    const found = deserialize(bytes);
    return found?.version === POSITION_VERSION ? found.state : null;
  } catch {
    return null;
  }
}
