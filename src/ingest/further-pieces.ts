import type { LogSource } from "./log-source";

/** Where in what lies behind the head the pieces are taken, and how large they are. */
const PLACES = [1 / 4, 1 / 2, 3 / 4, 1];
const PIECE_BYTES = 16 * 1024;

/**
 * A few small pieces of a log from behind its first `headBytes` bytes, in order, the last one from its end: they
 * show how days go by where the head is all of one day. Empty where the source can't be read anywhere, or ends with
 * the head.
 */
export async function furtherPieces(source: LogSource, headBytes: number): Promise<Uint8Array[]> {
  const { range, sizeBytes } = source;
  if (range === undefined || sizeBytes === null || sizeBytes < headBytes + PLACES.length * PIECE_BYTES)
    return [];
  const pieces: Uint8Array[] = [];
  for (const place of PLACES) {
    // Even, so that no character of UTF-16 is cut.
    const from = Math.floor((headBytes + place * (sizeBytes - headBytes - PIECE_BYTES)) / 2) * 2;
    const parts: Uint8Array[] = [];
    const to = place === 1 ? sizeBytes : from + PIECE_BYTES;
    for await (const bytes of range(from, to)) parts.push(bytes);
    pieces.push(Buffer.concat(parts));
  }
  return pieces;
}
