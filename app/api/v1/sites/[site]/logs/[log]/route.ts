import { jobOfLog } from "../../../../../../../db/queries/job-of-log";
import { apiSiteAnswer } from "../../../../../../_api/api-answer";
import { logStateJson } from "../../../../../../_api/log-json";
import { logOf } from "../../../../../../_api/log-of";

/** A log: what it is, what became of its records, and what is being done with it. */
export function GET(
  request: Request,
  { params }: RouteContext<"/api/v1/sites/[site]/logs/[log]">,
): Promise<Response> {
  return apiSiteAnswer(request, "read", params, async ({ database, site }) => {
    const log = await logOf(database, site, (await params).log);
    const job = await jobOfLog(database, site.siteId, log.logId);
    return Response.json(logStateJson(log, job, site), { headers: { "cache-control": "no-store" } });
  });
}
