import { AppError } from "../../../../../../db/app-error";
import { touchedPeriod } from "../../../../../../db/queries/local-period";
import { resultsBetween } from "../../../../../../db/queries/results-between";
import { siteResults } from "../../../../../../db/queries/site-results";
import { clockOf, localIso } from "../../../../../../src/report/format";
import { monthReview } from "../../../../../../src/report/month-review";
import { apiSiteAnswer } from "../../../../../_api/api-answer";
import { API_QUERIES } from "../../../../../_api/api-schemas";
import { periodOf } from "../../../../../_api/period-of";
import { queryOf } from "../../../../../_api/query-of";
import { reviewAnswer } from "../../../../../_api/review-answer";

/** What the analysis found in the site's whole history, or in a period of it. */
export function GET(
  request: Request,
  { params }: RouteContext<"/api/v1/sites/[site]/review">,
): Promise<Response> {
  return apiSiteAnswer(request, "read", params, async ({ database, site }) => {
    const clock = clockOf(site.timezone);
    const period = periodOf(queryOf(request, API_QUERIES.readReview), clock);
    if (period === null) {
      const results = await siteResults(database, site.siteId);
      if (results === null) {
        throw new AppError("not-found", `"${site.name}" has no results so far.`, {
          more: { hint: "They come seconds after its first log was imported." },
        });
      }
      return reviewAnswer(results, site, clock);
    }
    const found = await resultsBetween(database, site.siteId, (zone) => [touchedPeriod(zone, period)]);
    const results = found?.[0];
    const review = results === undefined ? null : monthReview(results);
    if (results === undefined || review === null) {
      throw new AppError("not-found", `"${site.name}" has no results of that period.`, {
        more: { hint: "GET /api/v1/sites says from when to when there are samples." },
      });
    }
    const iso = (atMs: number | null) => (atMs === null ? null : localIso(atMs, clock));
    const { revision, samplesRevision, days } = results;
    return reviewAnswer(review, { ...site, samplesRevision, resultsRevision: revision }, clock, {
      from: iso(period.fromMs),
      to: iso(period.toMs),
      firstDay: days[0].date,
      lastDay: days[days.length - 1].date,
    });
  });
}
