import type { LogSource } from "./log-source";

/** How many pieces are taken at most and at least, evenly over what lies behind the head, and how large they are. */
const MOST_PIECES = 24;
const LEAST_PIECES = 8;
const PIECE_BYTES = 8 * 1024;

/**
 * A few small pieces of a log from behind its first `headBytes` bytes, in order, the last one from its end: they
 * show how days go by where the head is all of one day, and what is used for some hours of a day only, as the grid.
 * Empty where the source can't be read anywhere, or ends with the head.
 */
export async function furtherPieces(source: LogSource, headBytes: number): Promise<Uint8Array[]> {
  const { range, sizeBytes } = source;
  if (range === undefined || sizeBytes === null) return [];
  const count = Math.min(MOST_PIECES, Math.floor((sizeBytes - headBytes) / PIECE_BYTES));
  if (count < LEAST_PIECES) return [];
  const pieces: Uint8Array[] = [];
  for (let k = 1; k <= count; k++) {
    const place = k / count;
    // Even, so that no character of UTF-16 is cut.
    const from = Math.floor((headBytes + place * (sizeBytes - headBytes - PIECE_BYTES)) / 2) * 2;
    const parts: Uint8Array[] = [];
    const to = place === 1 ? sizeBytes : from + PIECE_BYTES;
    for await (const bytes of range(from, to)) parts.push(bytes);
    pieces.push(Buffer.concat(parts));
  }
  return pieces;
}
