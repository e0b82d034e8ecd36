import { MOST_PLACES, PIECE_BYTES, placesOfPieces } from "./places-of-pieces";

/** Gathers pieces of a log as it goes by. */
export type PieceGatherer = {
  /** Takes the next bytes; they are copied. */
  add(bytes: Uint8Array): void;
  /** Of all that came, taken for the whole log: what stands at `placesOfPieces`. */
  pieces(): Uint8Array[];
  /** Bytes that came. */
  sizeBytes(): number;
};

/** Enough for a last piece that begins at an even place. */
const TAIL_BYTES = PIECE_BYTES + 1;

/**
 * Gathers the pieces at `placesOfPieces` of a log of which nobody knows how long it is: everything on the grid is held,
 * and every other piece let go of whenever the grid's steps double. Less than a megabyte at any time.
 */
export function createPieceGatherer(headBytes: number): PieceGatherer {
  let size = 0;
  let step = PIECE_BYTES;
  /** What stands on the grid from its first place on; the last one may be unfinished. */
  let onGrid: Buffer[] = [];
  let tail: Buffer = Buffer.alloc(0);

  function fill(bytes: Uint8Array): void {
    let at = Math.max(0, headBytes - size);
    while (at < bytes.byteLength) {
      const behind = size + at - headBytes;
      const place = Math.floor(behind / step);
      const inside = behind - place * step;
      if (inside < PIECE_BYTES) {
        onGrid[place] ??= Buffer.alloc(PIECE_BYTES);
        const piece = bytes.subarray(at, at + PIECE_BYTES - inside);
        onGrid[place].set(piece, inside);
        at += piece.byteLength;
      } else at = Math.min(bytes.byteLength, at + step - inside);
      // Surely more places now than there may be, even with room for the last piece.
      if (size + at - headBytes >= MOST_PLACES * step + 2 * PIECE_BYTES) {
        onGrid = onGrid.filter((_, place) => place % 2 === 0);
        step *= 2;
      }
    }
  }

  return {
    add(bytes) {
      fill(bytes);
      size += bytes.byteLength;
      const last = bytes.subarray(Math.max(0, bytes.byteLength - TAIL_BYTES));
      const before = tail.subarray(Math.max(0, tail.byteLength - (TAIL_BYTES - last.byteLength)));
      tail = Buffer.concat([before, last]);
    },
    pieces() {
      const places = placesOfPieces(size, headBytes);
      return places.map(({ from }, i) =>
        i < places.length - 1
          ? onGrid[(from - headBytes) / step]
          : tail.subarray(tail.byteLength - (size - from)),
      );
    },
    sizeBytes: () => size,
  };
}
