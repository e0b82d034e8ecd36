import type { LogSource } from "./log-source";
import { createPieceGatherer } from "./piece-gatherer";
import { placesOfPieces } from "./places-of-pieces";
import { SNIFF_BYTES } from "./sniff-log";

/**
 * A few small pieces of a log from behind its first `headBytes` bytes, in order, the last one from its end: they
 * show how days go by where the head is all of one day, and what is used for some hours of a day only, as the grid.
 * A file is read at those places alone, another source once through: the pieces are the same, so that a log is settled
 * alike however it comes in. Empty where the log ends with the head or soon after.
 *
 * @returns the pieces, and the bytes of the whole log where they are known
 * @throws what the source throws
 */
export async function furtherPieces(
  { range, sizeBytes, open }: Pick<LogSource, "range" | "sizeBytes" | "open">,
  headBytes: number,
): Promise<{ further: Uint8Array[]; sizeBytes: number | null }> {
  if (headBytes < SNIFF_BYTES) return { further: [], sizeBytes };
  if (range === undefined || sizeBytes === null) {
    const gatherer = createPieceGatherer(headBytes);
    for await (const bytes of open()) gatherer.add(bytes);
    return { further: gatherer.pieces(), sizeBytes: gatherer.sizeBytes() };
  }
  const further: Uint8Array[] = [];
  for (const { from, to } of placesOfPieces(sizeBytes, headBytes)) {
    const parts: Uint8Array[] = [];
    for await (const bytes of range(from, to)) parts.push(bytes);
    further.push(Buffer.concat(parts));
  }
  return { further, sizeBytes };
}
