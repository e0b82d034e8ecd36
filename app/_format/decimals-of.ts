/** Decimals that a column of a log is shown with at most. */
const MOST = 2;

/**
 * How many decimals the log wrote a column with: the fewest that give each value back, rounded to float32 as it was when
 * it was read. Null where more than two are needed, as where a value was computed from others, or none is known.
 */
export function decimalsOf(values: Float32Array): number | null {
  let decimals: number | null = null;
  for (const value of values) {
    if (!Number.isFinite(value)) continue;
    decimals ??= 0;
    while (Math.fround(Number(value.toFixed(decimals))) !== value) {
      decimals += 1;
      if (decimals > MOST) return null;
    }
  }
  return decimals;
}
