import { coverageOf } from "../analysis/coverage";
import type { PeriodSubject } from "../analysis/period-findings";
import type { ReviewResult } from "../analysis/results";

/**
 * What was found in a month as the review of a log that holds that month alone, to be written by `reviewJson`: with its
 * own coverage, and the return delay of the whole history, which needs more events than a month has.
 *
 * @returns null where the month has no samples or the results were never computed
 */
export function monthReview(
  month: Omit<ReviewResult, "coverage" | "total" | "returnDelay"> &
    Pick<PeriodSubject, "gaps" | "total" | "returnDelay" | "nominalS">,
): ReviewResult | null {
  const { gaps, total, returnDelay, nominalS } = month;
  if (total === null || returnDelay === null) return null;
  const { samples, heldS, firstMs, untilMs } = month.figures.coverage;
  const nominalMs = nominalS === null ? Number.NaN : nominalS * 1000;
  const coverage = coverageOf(samples, heldS, firstMs, untilMs, nominalMs);
  return {
    coverage: { ...coverage, gaps: [...gaps] },
    nearLimit: month.nearLimit,
    transfers: month.transfers,
    dropouts: month.dropouts,
    days: month.days,
    hours: month.hours,
    total,
    returnDelay,
    continuousLoad: month.continuousLoad,
    openNeutral: month.openNeutral,
    figures: month.figures,
    notes: month.notes,
  };
}
