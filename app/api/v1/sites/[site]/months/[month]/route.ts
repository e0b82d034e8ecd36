import { AppError } from "../../../../../../../db/app-error";
import { monthResults } from "../../../../../../../db/queries/month-results";
import { clockOf } from "../../../../../../../src/report/format";
import { monthReview } from "../../../../../../../src/report/month-review";
import { apiSiteAnswer } from "../../../../../../_api/api-answer";
import { reviewAnswer } from "../../../../../../_api/review-answer";

/** What the analysis found in one local month of the site. */
export function GET(
  request: Request,
  { params }: RouteContext<"/api/v1/sites/[site]/months/[month]">,
): Promise<Response> {
  return apiSiteAnswer(request, "read", params, async ({ database, site }) => {
    const { month } = await params;
    if (!/^\d{4}-(0[1-9]|1[0-2])$/.test(month)) {
      throw new AppError("bad-input", `A month is written as 2026-05, not as "${month.slice(0, 20)}".`, {
        more: { where: "address, month" },
      });
    }
    const results = await monthResults(database, site.siteId, month);
    const review = results === null ? null : monthReview(results);
    if (review === null) {
      throw new AppError("not-found", `"${site.name}" has no results of ${month}.`, {
        more: { hint: "GET /api/v1/sites says of which months there are." },
      });
    }
    const { revision, samplesRevision } = results!;
    const of = { ...site, samplesRevision, resultsRevision: revision };
    return reviewAnswer(review, of, clockOf(site.timezone));
  });
}
