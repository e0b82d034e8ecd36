/** How well powers balance: what is given against what the load takes. */
export type BalanceFit = {
  /** What is left open after losses, as a part of the turnover: 0 closes wholly, 1 not at all. */
  readonly open: number;
  /** Part of the turnover that stands in rows which close to 5 %. */
  readonly closed: number;
  readonly rows: number;
};

/** Losses that a balance may have: a converter's own draw, and a part of what it turns over. */
const IDLE_W = 150;
const LOSS_SHARE = 0.16;

/**
 * Holds what is given (sun + battery + grid, W) against the load. The losses of the best straight line over
 * the turnover, not negative and not above what converters lose, are taken off first. Rows in which
 * anything is missing don't count. `only` names the rows to look at; null for all.
 */
export function balanceFit(
  given: Float64Array,
  load: Float64Array,
  turnover: Float64Array,
  only: readonly number[] | null = null,
): BalanceFit {
  const n = only === null ? given.length : only.length;
  let rows = 0;
  let sumT = 0;
  let sumR = 0;
  let sumTT = 0;
  let sumTR = 0;
  for (let k = 0; k < n; k++) {
    const i = only === null ? k : only[k];
    const r = given[i] - load[i];
    const t = turnover[i];
    if (Number.isNaN(r) || Number.isNaN(t)) continue;
    rows++;
    sumT += t;
    // A row that doesn't balance at all says nothing about losses.
    if (r < -0.1 * t || r > 0.3 * t + IDLE_W) continue;
    sumR += r;
    sumTT += t * t;
    sumTR += t * r;
  }
  if (rows === 0 || sumT === 0) return { open: 1, closed: 0, rows };
  let share = sumTT === 0 ? 0 : sumTR / sumTT;
  let idle = 0;
  const det = rows * sumTT - sumT * sumT;
  if (det > 1e-9 * rows * sumTT) {
    const slope = (rows * sumTR - sumT * sumR) / det;
    const rest = (sumR - slope * sumT) / rows;
    if (slope >= 0 && slope <= LOSS_SHARE && rest >= 0 && rest <= IDLE_W) {
      share = slope;
      idle = rest;
    }
  }
  share = Math.max(0, Math.min(LOSS_SHARE, share));
  let open = 0;
  let closed = 0;
  for (let k = 0; k < n; k++) {
    const i = only === null ? k : only[k];
    const e = Math.abs(given[i] - load[i] - idle - share * turnover[i]);
    if (Number.isNaN(e)) continue;
    open += Math.min(e, turnover[i]);
    if (e <= 0.05 * turnover[i]) closed += turnover[i];
  }
  return { open: open / sumT, closed: closed / sumT, rows };
}
