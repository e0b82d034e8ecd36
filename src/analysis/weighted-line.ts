/** What a weighted straight line is fitted from: sums over samples (x, y) with weight w. All of them add up over days. */
export type LineSums = {
  /** Samples. */
  n: number;
  /** Σ w, Σ w x, Σ w y, Σ w x², Σ w x y, Σ w y². */
  w: number;
  wx: number;
  wy: number;
  wxx: number;
  wxy: number;
  wyy: number;
};

/** A line y = intercept + slope · x. */
export type Line = {
  slope: number;
  intercept: number;
  /** Standard errors. */
  slopeSe: number;
  interceptSe: number;
  /** Share of the variance of y that the line explains; null where y never changes. */
  r2: number | null;
  /** Weighted standard deviation of y beside the line. */
  residual: number;
  n: number;
};

/**
 * The line of weighted least squares, with the variances of its coefficients σ² (XᵀWX)⁻¹, σ² = Σ w r² / (n − 2), which
 * a common factor of the weights doesn't change [Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, ch. 9].
 * Null under 3 samples, or where the weighted standard deviation of x is less than `minSpreadX`.
 *
 * @throws RangeError for a spread that isn't positive
 */
export function weightedLine(sums: LineSums, minSpreadX: number): Line | null {
  if (!(minSpreadX > 0))
    throw new RangeError(`weightedLine requires a positive minSpreadX, got ${minSpreadX}`);
  const { n, w, wx, wy, wxx, wxy, wyy } = sums;
  if (!(n >= 3 && w > 0)) return null;
  const meanX = wx / w;
  const meanY = wy / w;
  const sxx = wxx - wx * meanX;
  const sxy = wxy - wx * meanY;
  const syy = wyy - wy * meanY;
  // Differences of large sums keep about twelve figures: what lies below is no spread.
  if (!(sxx >= w * minSpreadX ** 2 && sxx > 1e-12 * wxx)) return null;
  const slope = sxy / sxx;
  const beside = Math.max(0, syy - slope * sxy);
  const variance = beside / (n - 2);
  return {
    slope,
    intercept: meanY - slope * meanX,
    slopeSe: Math.sqrt(variance / sxx),
    interceptSe: Math.sqrt(variance * (1 / w + (meanX * meanX) / sxx)),
    r2: syy > 1e-12 * wyy ? Math.min(1, (sxy * sxy) / (sxx * syy)) : null,
    residual: Math.sqrt(beside / w),
    n,
  };
}
