import { rejectsOf } from "../../../../../../db/queries/rejects-of";
import { answer } from "../../../../../_data/answer";
import { csvFile } from "../../../../../_data/csv-file";
import { logPage } from "../../../../../_data/log-page";
import { read } from "../../../../../_data/read";
import { rejectsTable } from "../../../../../_tables/rejects";

/** As many as a log keeps. */
const ALL_REJECTS = 10_000;

/** Everything of a log that could not be taken, as a file. */
export function GET(
  _: Request,
  { params }: RouteContext<"/sites/[site]/logs/[log]/rejects.csv">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, log: id } = await params;
    const { site, log } = await logPage(slug, id);
    const { rejects } = await read((database) =>
      rejectsOf(database, site.siteId, log.logId, { pageSize: ALL_REJECTS }),
    );
    return csvFile(rejectsTable(rejects), `${site.slug}-log-${log.logId}`);
  });
}
