import { concludeReview } from "./conclude-review";
import type { ReviewResult } from "./results";
import { createReviewPass, type PassOptions } from "./review-pass";
import type { FaultWord, Series } from "./series";

/** A running review. */
export type Review = {
  /** Takes the next samples, in ascending time. The series' arrays may be used again afterwards. */
  push(series: Series): void;
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
    push: pass.push,
    finish(faultWords) {
      pass.end();
      const result = concludeReview(pass.take(), {
        ...options,
        faultWords,
        nominalMs: pass.nominalMs(),
        demand: pass.demand(),
      });
      return { result, lateFirstSocPct: pass.otherFirstSocPct() ?? null };
    },
  };
}
