import { rejectsOf } from "../../../../../../../../db/queries/rejects-of";
import { apiSiteAnswer } from "../../../../../../../_api/api-answer";
import { logOf } from "../../../../../../../_api/log-of";
import { csvFile } from "../../../../../../../_data/csv-file";
import { rejectsTable } from "../../../../../../../_tables/rejects";

/** As many as a log keeps. */
const ALL_REJECTS = 10_000;

/** Everything of a log that could not be taken, as CSV. */
export function GET(
  request: Request,
  { params }: RouteContext<"/api/v1/sites/[site]/logs/[log]/rejects">,
): Promise<Response> {
  return apiSiteAnswer(request, "read", params, async ({ database, site }) => {
    const log = await logOf(database, site, (await params).log);
    const { rejects } = await rejectsOf(database, site.siteId, log.logId, { pageSize: ALL_REJECTS });
    return csvFile(rejectsTable(rejects), `${site.slug}-log-${log.logId}`);
  });
}
