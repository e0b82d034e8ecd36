import type { NextRequest } from "next/server";
import { currentDuration } from "../../../../../../src/analysis/current-duration";
import { answer } from "../../../../../_data/answer";
import { batteryPage } from "../../../../../_data/battery-page";
import { csvFile } from "../../../../../_data/csv-file";
import { periodSearch } from "../../../../../_data/period-query";
import { batteryTransfersTable } from "../../../../../_tables/battery-transfers";
import { currentDurationTable } from "../../../../../_tables/current-duration";
import { dcAgainstAcTable } from "../../../../../_tables/dc-against-ac";
import { socByHourTable } from "../../../../../_tables/soc-by-hour";

/** The tables behind the battery's pictures, under the period of the address, as files. */
export function GET(
  request: NextRequest,
  { params }: RouteContext<"/sites/[site]/battery/tables/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, table } = await params;
    const page = await batteryPage(slug, Object.fromEntries(request.nextUrl.searchParams));
    const { site, period, results } = page;
    const of = `${site.slug}-${[...new URLSearchParams(periodSearch(period)).values()].join("-")}`;
    const { current, power, socByHour } = results.battery ?? { current: null, power: null, socByHour: null };
    switch (table) {
      case "battery-current.csv":
        return csvFile(currentDurationTable(currentDuration(current?.bins ?? [], 1)), of);
      case "state-of-charge-by-hour.csv":
        return csvFile(socByHourTable(socByHour ?? []), of);
      case "dc-against-ac.csv":
        return csvFile(dcAgainstAcTable(power?.points ?? []), of);
      case "battery-transfers.csv":
        return csvFile(batteryTransfersTable(results.transfers, site.timezone), of);
      default:
        return new Response("There is no such table.\n", { status: 404 });
    }
  });
}
