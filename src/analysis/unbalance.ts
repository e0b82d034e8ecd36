/**
 * Unbalance: the greatest deviation from the mean over the mean, as a ratio [the form of NEMA MG 1, there for
 * the three line voltages of a motor; applying it to the loads of two legs is ours, where it comes to
 * |a − b| / (a + b)]. (Greatest − least) / mean is another figure, twice this one for two values.
 *
 * NaN where it isn't defined: no values, a missing one, or a mean that isn't positive.
 *
 * @example unbalance([462, 463, 455]) // 0.01087
 */
export function unbalance(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i];
  const mean = sum / values.length;
  if (!(mean > 0)) return Number.NaN;
  let greatest = 0;
  for (let i = 0; i < values.length; i++) greatest = Math.max(greatest, Math.abs(values[i] - mean));
  return greatest / mean;
}
