/**
 * Nominal interval of a log in ms: the median of the differences among its first 1,000 samples, for an even
 * number of them the mean of the middle two; null under two samples (definitions D1).
 */
export function nominalIntervalMs(timesMs: Float64Array): number | null {
  const n = Math.min(timesMs.length, 1000);
  if (n < 2) return null;
  const differences = new Float64Array(n - 1);
  for (let i = 1; i < n; i++) differences[i - 1] = timesMs[i] - timesMs[i - 1];
  differences.sort();
  const middle = differences.length >> 1;
  return differences.length % 2 === 1
    ? differences[middle]
    : (differences[middle - 1] + differences[middle]) / 2;
}
