import type { NextRequest } from "next/server";
import { transfersOf } from "../../../../../db/queries/transfers-of";
import { answer } from "../../../../_data/answer";
import { csvFile } from "../../../../_data/csv-file";
import { read } from "../../../../_data/read";
import { sitePage } from "../../../../_data/site-page";
import { narrowed, parseTransferQuery, transferFilters } from "../../../../_data/transfer-query";
import { transfersTable } from "../../../../_tables/transfers";
import { transfersByHourOfWeek } from "../../../../_tables/transfers-by-hour-of-week";

/** The transfers that the sheet shows under the same query, as a file; `by=hour-of-week` counts them instead. */
export function GET(
  request: NextRequest,
  { params }: RouteContext<"/sites/[site]/transfers/transfers.csv">,
): Promise<Response> {
  return answer(async () => {
    const { site, months } = await sitePage((await params).site);
    const search = Object.fromEntries(request.nextUrl.searchParams);
    const query = parseTransferQuery(search, months);
    const filters = transferFilters(query, site.timezone);
    const found = await read((database) => transfersOf(database, site.siteId, filters));
    const transfers = narrowed(found, query, site.timezone);
    return search.by === "hour-of-week"
      ? csvFile(transfersByHourOfWeek(transfers, site.timezone), site.slug)
      : csvFile(transfersTable(transfers, site.timezone), site.slug);
  });
}
