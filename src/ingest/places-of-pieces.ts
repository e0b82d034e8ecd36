/** How many pieces of a log are looked at besides its head, at most and at least. */
const MOST_PIECES = 24;
const LEAST_PIECES = 8;

/** Bytes of one. Even, as all places are, so that no character of UTF-16 is cut. */
export const PIECE_BYTES = 8 * 1024;

/** Places on the grid that pieces are chosen from, at most: as many are held while a log of unknown length goes by. */
export const MOST_PLACES = 96;

/** Where a piece begins and ends, bytes. */
export type Place = { readonly from: number; readonly to: number };

/**
 * Where the pieces of a log lie that are looked at behind its head: evenly over what there is, on a grid whose steps
 * double as the log grows, and the last one at its end. Empty where little more than the head is there.
 *
 * The grid is there so that a log can be gathered while it goes by, when nobody knows yet how long it is.
 *
 * @param sizeBytes of the whole log
 * @param headBytes an even number
 */
export function placesOfPieces(sizeBytes: number, headBytes: number): Place[] {
  const rest = sizeBytes - headBytes;
  if (rest < LEAST_PIECES * PIECE_BYTES) return [];
  let step = PIECE_BYTES;
  while (placesOnGrid(rest, step) > MOST_PLACES) step *= 2;
  const there = placesOnGrid(rest, step);
  const taken = Math.min(there, MOST_PIECES - 1);
  const places = Array.from({ length: taken }, (_, i) => {
    const from = headBytes + (Math.floor(((i + 1) * there) / taken) - 1) * step;
    return { from, to: from + PIECE_BYTES };
  });
  const lastFrom = Math.floor((sizeBytes - PIECE_BYTES) / 2) * 2;
  return [...places, { from: lastFrom, to: sizeBytes }];
}

/** Places of the grid at which a piece fits in before the last one. */
function placesOnGrid(restBytes: number, step: number): number {
  return Math.floor((restBytes - 2 * PIECE_BYTES) / step) + 1;
}
