/**
 * Quantile of ascending values with linear interpolation: type 7 of Hyndman and Fan, The American Statistician
 * 50 (1996) 361–365, DOI 10.1080/00031305.1996.10473566.
 *
 * @param sorted ascending, no NaN, at least one
 * @param share 0 to 1
 * @throws RangeError for no values or a share outside 0 to 1
 * @example quantile([1, 2, 3, 4], 0.25) // 1.75
 */
export function quantile(sorted: ArrayLike<number>, share: number): number {
  if (sorted.length === 0) throw new RangeError("quantile requires at least one value, got none");
  if (!(share >= 0 && share <= 1))
    throw new RangeError(`quantile requires a share from 0 to 1, got ${share}`);
  const place = (sorted.length - 1) * share;
  const below = Math.floor(place);
  const above = Math.min(below + 1, sorted.length - 1);
  return sorted[below] + (sorted[above] - sorted[below]) * (place - below);
}
