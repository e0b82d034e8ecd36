import { answer } from "../../../../../_data/answer";
import { csvFile } from "../../../../../_data/csv-file";
import { transferPage } from "../../../../../_data/transfer-page";
import { samplesTable } from "../../../../../_tables/samples";

/** The samples around a transfer, as they were read from the log, as a file. */
export function GET(
  _: Request,
  { params }: RouteContext<"/sites/[site]/transfers/[transfer]/samples.csv">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, transfer } = await params;
    const { site, stretch } = await transferPage(slug, transfer);
    if (stretch === null) return new Response("There are no samples there.\n", { status: 404 });
    const table = samplesTable(stretch.series, stretch.faultWords, site.timezone);
    return csvFile(table, `${site.slug}-${transfer}`);
  });
}
