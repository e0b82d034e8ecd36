import { concludeReview, dayGist } from "./conclude-review";
import type { Found } from "./found";
import { nearLimitOrder } from "./near-limit-order";
import { periodFigures } from "./period-figures";
import type { ReviewResult } from "./results";
import { createReviewPass, type PassOptions } from "./review-pass";
import type { FaultWord, Series } from "./series";
import { withEvidence } from "./with-evidence";

/** A running review. */
export type Review = {
  /**
   * Takes the next samples, in ascending time. The series' arrays may be used again afterwards. Of several
   * loggers each comes in its own order and may be ahead of the others.
   *
   * @param logger index in `loggers`, 0 where there is one
   */
  push(series: Series, logger?: number): void;
  /**
   * Ends the review. `lateFirstSocPct` is a number where the battery's stock had to begin before any SOC was
   * known and one came later: definitions D10 want the review run again with it as `firstSocPct`.
   */
  finish(faultWords: readonly FaultWord[]): { result: ReviewResult; lateFirstSocPct: number | null };
};

/**
 * The analysis of a whole history of samples in one go: the pass over the samples and what is concluded from
 * it, in chunks of any size, with the same results to the bit whatever the chunks.
 *
 * @throws RangeError for ratings that are empty, a zone that doesn't exist, times that don't ascend.
 */
export function createReview(options: Omit<PassOptions, "state">): Review {
  const pass = createReviewPass(options);
  return {
    push: (series, logger) => pass.push(series, logger),
    finish(faultWords) {
      pass.end();
      const result = reviewResult(pass.take(), options, faultWords, pass.nominalMs());
      return { result, lateFirstSocPct: pass.otherFirstSocPct() ?? null };
    },
  };
}

/** Everything that follows from what a pass over the whole history found. */
export function reviewResult(
  found: Found,
  options: Omit<PassOptions, "state" | "firstSocPct">,
  faultWords: readonly FaultWord[],
  nominalMs: number,
): ReviewResult {
  const concluded = concludeReview(found, found.days.map(dayGist), { ...options, faultWords, nominalMs });
  const stretches = withEvidence(found, options.settings, nominalMs / 1000);
  const figures = periodFigures({ days: found.days, ...stretches });
  return {
    coverage: { ...concluded.coverage, gaps: found.gaps },
    nearLimit: stretches.nearLimit.sort(nearLimitOrder),
    transfers: concluded.transfers,
    dropouts: concluded.dropouts,
    days: found.days,
    hours: found.hours,
    total: concluded.total,
    returnDelay: concluded.returnDelay,
    continuousLoad: stretches.continuousLoad.sort((a, b) => a.fromMs - b.fromMs),
    openNeutral: figures.voltageByLoad ? stretches.openNeutral : null,
    figures,
    notes: concluded.notes,
  };
}
