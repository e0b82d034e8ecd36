import { formatQuantity } from "./number";

/** A ratio as a percentage. One that isn't whole is never rounded up to 100 %, nor one above nothing down to 0 %. */
export function formatPercent(ratio: number | null | undefined, decimals = 0): string {
  if (ratio === null || ratio === undefined || !Number.isFinite(ratio)) return formatQuantity(null, "%");
  const step = 10 ** -decimals;
  const rounded = Math.round((ratio * 100) / step) * step;
  if (ratio < 1 && rounded >= 100) return `over ${formatQuantity(100 - step, "%", decimals)}`;
  if (ratio > 0 && rounded === 0) return `under ${formatQuantity(step, "%", decimals)}`;
  return formatQuantity(rounded, "%", decimals);
}

/** A loading as a percentage of the rating: rounded, since 1.004 and 0.996 are both "at the rating" to a reader. */
export function formatLoading(loading: number | null | undefined): string {
  return formatQuantity(loading === null || loading === undefined ? null : loading * 100, "%");
}
