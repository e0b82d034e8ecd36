import { AppError } from "../../../../../../db/app-error";
import { siteResults } from "../../../../../../db/queries/site-results";
import { clockOf } from "../../../../../../src/report/format";
import { apiSiteAnswer } from "../../../../../_api/api-answer";
import { reviewAnswer } from "../../../../../_api/review-answer";

/** What the analysis found in the site's whole history. */
export function GET(
  request: Request,
  { params }: RouteContext<"/api/v1/sites/[site]/review">,
): Promise<Response> {
  return apiSiteAnswer(request, "read", params, async ({ database, site }) => {
    const results = await siteResults(database, site.siteId);
    if (results === null) {
      throw new AppError("not-found", `"${site.name}" has no results so far.`, {
        more: { hint: "They come seconds after its first log was imported." },
      });
    }
    return reviewAnswer(results, site, clockOf(site.timezone));
  });
}
