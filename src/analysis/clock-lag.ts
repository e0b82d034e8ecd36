/** How far one logger's clock is behind another's, by a quantity that both see. */
export type ClockLag = {
  /** Minutes by which the second shows later what the first shows. */
  lagMin: number;
  /** Correlation of the changes from minute to minute at that lag, and at none. */
  correlation: number;
  correlationAtZero: number;
};

/** Farthest lag that is looked at, minutes. */
const FARTHEST_MIN = 90;
/** Least correlation that says something. */
const LEAST = 0.5;
/** By how much it has to be greater than without a lag. */
const ABOVE_ZERO = 0.1;

/**
 * Lag between two columns of the same minutes (NaN = missing), by the greatest correlation of their changes. Null
 * where nothing correlates, or none is clearly better than no lag.
 *
 * @throws RangeError for columns of unequal length
 */
export function clockLag(one: Float32Array, other: Float32Array): ClockLag | null {
  if (one.length !== other.length)
    throw new RangeError(`clockLag requires equal lengths, got ${one.length} and ${other.length}`);
  const a = changes(one);
  const b = changes(other);
  let best: { lagMin: number; correlation: number } | null = null;
  for (let lagMin = -FARTHEST_MIN; lagMin <= FARTHEST_MIN; lagMin++) {
    const correlation = correlationAt(a, b, lagMin);
    if (best === null || correlation > best.correlation) best = { lagMin, correlation };
  }
  const correlationAtZero = correlationAt(a, b, 0);
  if (best === null || best.lagMin === 0) return null;
  if (!(best.correlation >= LEAST && best.correlation >= correlationAtZero + ABOVE_ZERO)) return null;
  return { ...best, correlationAtZero };
}

function changes(values: Float32Array): Float64Array {
  const found = new Float64Array(values.length);
  for (let i = 1; i < values.length; i++) {
    const change = values[i] - values[i - 1];
    found[i] = Number.isNaN(change) ? 0 : change;
  }
  return found;
}

/** Correlation about zero: changes of a load have no mean. −1 where one never moves. */
function correlationAt(a: Float64Array, b: Float64Array, lag: number): number {
  let [ab, aa, bb] = [0, 0, 0];
  const from = Math.max(0, -lag);
  const to = Math.min(a.length, b.length - lag);
  for (let i = from; i < to; i++) {
    ab += a[i] * b[i + lag];
    aa += a[i] * a[i];
    bb += b[i + lag] * b[i + lag];
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : -1;
}
