import { answer } from "../../../../../_data/answer";
import { logPage } from "../../../../../_data/log-page";

/** The map by which a log was read, as a columns.json to be saved. */
export function GET(
  _: Request,
  { params }: RouteContext<"/sites/[site]/logs/[log]/columns.json">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, log: id } = await params;
    const { log } = await logPage(slug, id);
    if (log.columnMap === null) return new Response("This log has no map yet.\n", { status: 404 });
    return new Response(`${JSON.stringify(log.columnMap, null, 2)}\n`, {
      headers: {
        "content-type": "application/json; charset=utf-8",
        "content-disposition": 'attachment; filename="columns.json"',
        "cache-control": "no-store",
      },
    });
  });
}
