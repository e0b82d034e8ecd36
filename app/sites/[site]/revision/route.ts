import { resultsRevision } from "../../../../db/queries/results-revision";
import { siteBySlug } from "../../../../db/queries/site-by-slug";
import { answer } from "../../../_data/answer";
import { read } from "../../../_data/read";

/** The revisions of a site's results and samples as a mark, "4/5", cheap enough to be asked for every second. */
export function GET(_: Request, { params }: RouteContext<"/sites/[site]/revision">): Promise<Response> {
  return answer(async () => {
    const { site: slug } = await params;
    const revision = await read(async (database) => {
      const site = await siteBySlug(database, slug);
      return site === null ? null : resultsRevision(database, site.siteId);
    });
    if (revision === null) return new Response("There is no such site.\n", { status: 404 });
    return new Response(`${revision.resultsRevision ?? "none"}/${revision.samplesRevision}`, {
      headers: { "cache-control": "no-store" },
    });
  });
}
