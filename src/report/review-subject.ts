import type { PeriodSubject } from "../analysis/period-findings";
import type { ReviewResult } from "../analysis/results";
import type { Settings } from "../analysis/settings";

/**
 * A review as the period that its findings are made from: from the first sample to the end of the last hold.
 *
 * @param settings those that it was computed with
 */
export function reviewSubject(result: ReviewResult, settings: Settings): PeriodSubject {
  const { coverage } = result;
  return {
    ...result,
    fromMs: coverage.fromMs ?? 0,
    toMs: coverage.toMs ?? 0,
    nominalS: coverage.nominalS,
    gaps: coverage.gaps,
    settings,
  };
}
