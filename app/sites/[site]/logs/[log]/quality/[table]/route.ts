import type { NextRequest } from "next/server";
import { answer } from "../../../../../../_data/answer";
import { qualityFile } from "../../../../../../_data/quality-file";
import { logQuality } from "../../../../../../_data/quality-page";

/** The tables of a log's quality sheet, as files. */
export function GET(
  _: NextRequest,
  { params }: RouteContext<"/sites/[site]/logs/[log]/quality/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site, log: id, table } = await params;
    const { log, page } = await logQuality(site, id);
    if (page === null) return new Response("This log is not imported.\n", { status: 404 });
    return qualityFile(page, decodeURIComponent(table), `${page.site.slug}-log-${log.logId}`);
  });
}
