import { conflictsOf } from "../../../../../../db/queries/conflicts-of";
import { conflictsCsv, conflictsHeader } from "../../../../../../src/report/conflicts-csv";
import { clockOf } from "../../../../../../src/report/format";
import { answer } from "../../../../../_data/answer";
import { logPage } from "../../../../../_data/log-page";
import { read } from "../../../../../_data/read";

/** Every conflict of a log, made as it is sent: there is no end to how many they may be. */
export function GET(
  _: Request,
  { params }: RouteContext<"/sites/[site]/logs/[log]/conflicts.csv">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, log: id } = await params;
    const { site, log } = await logPage(slug, id);
    const conflicts = await read((database) => conflictsOf(database, site.siteId, log.logId));
    if (conflicts === null) return new Response("This log isn't in the site.\n", { status: 404 });
    const clock = clockOf(site.timezone);
    const text = new TextEncoder();
    const { channels, rows } = conflicts;
    const body = new ReadableStream<Uint8Array>({
      start: (controller) => controller.enqueue(text.encode(conflictsHeader(channels))),
      async pull(controller) {
        const next = await rows.next();
        if (next.done) controller.close();
        else controller.enqueue(text.encode(conflictsCsv(next.value, clock)));
      },
      cancel: async () => {
        await rows.return(undefined);
      },
    });
    return new Response(body, {
      headers: {
        "content-type": "text/csv; charset=utf-8",
        "content-disposition": `attachment; filename="${site.slug.replaceAll(/[^\w.-]/g, "-")}-log-${log.logId}-conflicts.csv"`,
        "cache-control": "no-store",
      },
    });
  });
}
