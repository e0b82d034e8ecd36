import type { SiteRow } from "../../db/queries/site-by-slug";
import type { LocalClock } from "../../src/analysis/local-time";
import type { ReviewResult } from "../../src/analysis/results";
import { reviewJson } from "../../src/report/review-json";
import type { ApiJson } from "./api-schemas";

/**
 * Results with the keys of `review --json`, and the revisions that they and the samples stand on. What became of the
 * logs' records is left out: a site can have thousands of logs, and …/logs has it.
 */
export function reviewAnswer(
  results: ReviewResult,
  site: SiteRow,
  clock: LocalClock,
  period?: ApiJson<"Review">["period"],
): Response {
  const { log: _, ...review } = reviewJson(results, site.site, [], clock);
  const { samplesRevision, resultsRevision: revision } = site;
  return Response.json(
    { ...review, ...(period === undefined ? {} : { period }), revision, samplesRevision },
    { headers: { "cache-control": "no-store" } },
  );
}
