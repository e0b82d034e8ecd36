import { siteBySlug } from "../../../../../db/queries/site-by-slug";
import { receiveUpload } from "../../../../../db/writes/receive-upload";
import { MAX_LOG_BYTES } from "../../../../../src/ingest/read-log";
import { answer } from "../../../../_data/answer";
import { read } from "../../../../_data/read";
import { checkRequest } from "../../../../_guard/check-request";
import { heardBody } from "../../../../_guard/heard-body";

/** Name of a log as its list shows it. */
const MAX_NAME_CHARACTERS = 255;

/**
 * Takes a log as it comes: the raw file is the body, its name and logger stand in the query. The body is
 * streamed into the database and never held; a gzip file is unpacked on the way, and a zip archive becomes one log
 * per entry. The proxy is not passed here, so the check of Host and Origin
 * is made here; the content type is one that no form of another site can send.
 */
export function POST(
  request: Request,
  { params }: RouteContext<"/sites/[site]/logs/upload">,
): Promise<Response> {
  return answer(async () => {
    const refusal = checkRequest(request);
    if (refusal !== null) return text(refusal.message, refusal.status);
    if (request.headers.get("content-type") !== "application/octet-stream") {
      return text("A log is sent as application/octet-stream, its bytes as the body.", 415);
    }
    if (request.body === null) return text("The request has no body: the log's bytes are missing.", 400);
    if (Number(request.headers.get("content-length") ?? 0) > MAX_LOG_BYTES) {
      return text(
        `The log is larger than the ${MAX_LOG_BYTES / 1024 ** 3} GiB that one import takes. Split it by months and import the parts.`,
        413,
      );
    }
    const query = new URL(request.url).searchParams;
    const name = (query.get("name") ?? "").trim();
    if (name === "" || name.length > MAX_NAME_CHARACTERS) {
      return text(`The query needs a name of 1 to ${MAX_NAME_CHARACTERS} characters.`, 400);
    }
    const { site: slug } = await params;
    const body = heardBody(request.body);
    return read(async (database) => {
      const site = await siteBySlug(database, decodeURIComponent(slug));
      if (site === null) return text("There is no such site.", 404);
      const loggerName = query.get("logger") ?? site.site.loggers[0].name;
      const { logs } = await receiveUpload(database, { siteId: site.siteId, loggerName, name, body });
      const addressOf = (logId: number) => `/sites/${site.slug}/logs/${logId}`;
      const received = logs.map((log) => ({
        name: log.name,
        logId: log.logId,
        state: log.state,
        alreadyThere: log.alreadyThere,
        address: addressOf(log.logId),
      }));
      const address = received.length === 1 ? received[0].address : `/sites/${site.slug}/logs`;
      return Response.json({ ...received[0], address, logs: received });
    });
  });
}

function text(message: string, status: number): Response {
  return new Response(`${message}\n`, { status, headers: { "content-type": "text/plain; charset=utf-8" } });
}
