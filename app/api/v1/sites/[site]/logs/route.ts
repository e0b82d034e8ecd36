import { logsPage } from "../../../../../../db/queries/logs-page";
import { apiSiteAnswer } from "../../../../../_api/api-answer";
import { API_QUERIES, type ApiJson } from "../../../../../_api/api-schemas";
import { logBody } from "../../../../../_api/log-body";
import { logJson } from "../../../../../_api/log-json";
import { loggerOf } from "../../../../../_api/logger-of";
import { queryOf } from "../../../../../_api/query-of";
import { takeSent } from "../../../../../_api/take-sent";

type Context = RouteContext<"/api/v1/sites/[site]/logs">;

/** A page of the site's logs, the latest first. */
export function GET(request: Request, { params }: Context): Promise<Response> {
  return apiSiteAnswer(request, "read", params, async ({ database, site }) => {
    const { before, limit } = queryOf(request, API_QUERIES.listLogs);
    const { logs, next } = await logsPage(database, site.siteId, { before, limit });
    const body: ApiJson<"LogPage"> = {
      logs: logs.map((log) => logJson(log, site)),
      next: next === null ? null : `/api/v1/sites/${site.slug}/logs?limit=${limit}&before=${next}`,
    };
    return Response.json(body, { headers: { "cache-control": "no-store" } });
  });
}

/**
 * Takes a log: its bytes are the body, streamed and never held but for the first megabyte; or an archive of logs. The proxy is not passed
 * here, since Next would hold the body in memory.
 */
export function POST(request: Request, { params }: Context): Promise<Response> {
  return apiSiteAnswer(request, "write", params, async ({ database, site }) => {
    const { logger, name } = queryOf(request, API_QUERIES.sendLog);
    const { kind, bytes } = logBody(request);
    return takeSent(database, site, kind, {
      loggerName: loggerOf(site, logger),
      name: name ?? `${new Date().toISOString()}.${kind === "zip" ? "zip" : "csv"}`,
      body: bytes,
    });
  });
}
