import { comparePeriods } from "../../../../../../src/report/compare-periods";
import { monthNames } from "../../../../../../src/report/comparison-words";
import { answer } from "../../../../../_data/answer";
import { csvFile } from "../../../../../_data/csv-file";
import { monthPage } from "../../../../../_data/month-page";
import { isYear } from "../../../../../_data/year-page";
import { yearTable } from "../../../../../_data/year-table";
import { formatMonth } from "../../../../../_format/local-time";
import { continuousLoadStretches } from "../../../../../_tables/continuous-load";
import { dropoutsTable } from "../../../../../_tables/dropouts";
import { energyByDay } from "../../../../../_tables/energy-by-day";
import { imbalanceIntervals } from "../../../../../_tables/imbalance-intervals";
import { loadDurationCurve } from "../../../../../_tables/load-duration";
import { loadingByHour } from "../../../../../_tables/loading-by-hour";
import { nearLimitByQuantity, nearLimitIntervals } from "../../../../../_tables/near-limit-intervals";
import { periodComparisonFile } from "../../../../../_tables/period-comparison";
import { transfersTable } from "../../../../../_tables/transfers";
import { transfersByCause } from "../../../../../_tables/transfers-by-cause";

/** The tables behind a month's pictures, as files. */
export function GET(
  _: Request,
  { params }: RouteContext<"/sites/[site]/[month]/tables/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, month, table } = await params;
    if (isYear(month)) return yearTable(slug, month, table);
    const { site, results, before } = await monthPage(slug, month);
    const of = `${site.slug}-${month}`;
    const { imbalance, loadDuration } = results.figures;
    switch (table) {
      case "loading-by-hour.csv":
        return csvFile(loadingByHour(results.hours, results.transfers, site.timezone), of);
      case "energy-by-day.csv":
        return csvFile(energyByDay(results.days), of);
      case "transfers-by-cause.csv":
        return csvFile(transfersByCause(results.transfers), of);
      case "near-limit-by-leg.csv":
        return csvFile(nearLimitByQuantity(results.nearLimit), of);
      case "near-limit-intervals.csv":
        return csvFile(nearLimitIntervals(results.nearLimit, site.timezone), of);
      case "transfers.csv":
        return csvFile(transfersTable(results.transfers, site.timezone), of);
      case "dropouts.csv":
        return csvFile(dropoutsTable(results.dropouts, site.timezone), of);
      case "imbalance-intervals.csv":
        return csvFile(imbalanceIntervals(imbalance?.intervals ?? [], site.timezone), of);
      case "continuous-load.csv":
        return csvFile(continuousLoadStretches(results.continuousLoad, site.timezone), of);
      case "comparison.csv":
        if (before === null) return new Response("There is no month before it.\n", { status: 404 });
        return csvFile(
          periodComparisonFile(
            comparePeriods(before, results),
            monthNames(formatMonth(before.month), formatMonth(month)),
          ),
          of,
        );
      case "load-duration.csv":
        if (loadDuration === null) return new Response("There is no load in this log.\n", { status: 404 });
        return csvFile(loadDurationCurve(loadDuration), of);
      default:
        return new Response("There is no such table.\n", { status: 404 });
    }
  });
}
