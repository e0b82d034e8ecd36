import { formatLoading as said } from "../../src/report/format";
import { formatQuantity, UNKNOWN } from "./number";

/** A ratio as a percentage. One that isn't whole is never rounded up to 100 %, nor one above nothing down to 0 %. */
export function formatPercent(ratio: number | null | undefined, decimals = 0): string {
  if (ratio === null || ratio === undefined || !Number.isFinite(ratio)) return UNKNOWN;
  const step = 10 ** -decimals;
  const rounded = Math.round((ratio * 100) / step) * step;
  if (ratio < 1 && rounded >= 100) return `over ${formatQuantity(100 - step, "%", decimals)}`;
  if (ratio > 0 && rounded === 0) return `under ${formatQuantity(step, "%", decimals)}`;
  return formatQuantity(rounded, "%", decimals);
}

/** A loading: 1.00 is at the rating, and what is shown as 1.00 has reached it (see `src/report/format`). */
export function formatLoading(loading: number | null | undefined): string {
  return loading === null || loading === undefined || !Number.isFinite(loading) ? UNKNOWN : said(loading);
}
