import { siteBySlug } from "../../../../../../db/queries/site-by-slug";
import { answer } from "../../../../../_data/answer";
import { logWithJob } from "../../../../../_data/log-page";
import { read } from "../../../../../_data/read";

/** How far the latest import of a log is, to be asked for while it runs. */
export function GET(
  _: Request,
  { params }: RouteContext<"/sites/[site]/logs/[log]/progress">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, log } = await params;
    const found = await read(async (database) => {
      const site = await siteBySlug(database, decodeURIComponent(slug));
      return site === null ? null : logWithJob(database, site.siteId, log);
    });
    if (found === null) return new Response("There is no such log.\n", { status: 404 });
    const { job } = found;
    return Response.json(
      {
        state: job?.state ?? null,
        progress: job?.progress ?? null,
        cancelRequested: job?.cancelRequested ?? false,
      },
      { headers: { "cache-control": "no-store" } },
    );
  });
}
