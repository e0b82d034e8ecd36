import type { Frame } from "./frame";

/**
 * The rows of the load's samples next to row `k`, of those up to `sourced`: with one logger `k − 1` and `k + 1`.
 * With several, rows in between at which only another logger has a sample are passed over. Null where a gap lies
 * between, the load's own included, or where there is none.
 */
export function loadNeighbours(frame: Frame, k: number): { before: number | null; after: number | null } {
  const { gapAfter, loadSampled, sourced } = frame;
  let before: number | null = null;
  for (let row = k - 1; row >= 0 && gapAfter[row] === 0; row--) {
    if (loadSampled[row] === 1) {
      before = row;
      break;
    }
    if (loadSampled[row] === 2) break;
  }
  let after: number | null = null;
  for (let row = k + 1; row < sourced && gapAfter[row - 1] === 0; row++) {
    if (loadSampled[row] === 1) {
      after = row;
      break;
    }
    if (loadSampled[row] === 2) break;
  }
  return { before, after };
}

/** True where the load's next sample after row `k` is there, or is known to be none that belongs to it. */
export function loadAfterKnown(frame: Frame, k: number): boolean {
  const { gapAfter, loadSampled, sourced } = frame;
  for (let row = k + 1; row < sourced; row++) {
    if (gapAfter[row - 1] === 1 || loadSampled[row] !== 0) return true;
  }
  return k < sourced && gapAfter[sourced - 1] === 1;
}
