import type { NextRequest } from "next/server";
import { answer } from "../../../../../_data/answer";
import { comparedPeriods } from "../../../../../_data/compare-page";
import { parseCompareQuery } from "../../../../../_data/compare-query";
import { csvFile } from "../../../../../_data/csv-file";
import { sitePage } from "../../../../../_data/site-page";
import { causesOfBothFile } from "../../../../../_tables/causes-of-both";
import { loadDurationOfBoth } from "../../../../../_tables/load-duration-of-both";
import { periodComparisonFile } from "../../../../../_tables/period-comparison";

/** The tables behind two periods side by side, as files; the query is that of the sheet. */
export function GET(
  request: NextRequest,
  { params }: RouteContext<"/sites/[site]/compare/tables/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, table } = await params;
    const page = await sitePage(slug);
    const query = parseCompareQuery(Object.fromEntries(request.nextUrl.searchParams), page.months);
    if (query === null) return new Response("There are no two months to compare.\n", { status: 404 });
    const { names, before, after, figures } = await comparedPeriods(page, query);
    const of = `${page.site.slug}-${query.kind === "months" ? `${query.a}-${query.b}` : `around-${query.change}`}`;
    switch (table) {
      case "comparison.csv":
        return csvFile(periodComparisonFile(figures, names), of);
      case "transfers-by-cause.csv":
        return csvFile(causesOfBothFile(figures, names), of);
      case "load-duration.csv":
        return csvFile(
          loadDurationOfBoth(before.figures.loadDuration, after.figures.loadDuration, names),
          of,
        );
      default:
        return new Response("There is no such table.\n", { status: 404 });
    }
  });
}
