import { balanceByDay } from "../_tables/balance-by-day";
import { coverageByDayTable } from "../_tables/coverage-by-day";
import { gapsTable } from "../_tables/gaps";
import { qualityFindingsTable } from "../_tables/quality-findings";
import { csvFile } from "./csv-file";
import type { QualityPage } from "./quality-page";

/** One of the tables of a quality sheet as a file; 404 for a name that none has. */
export function qualityFile(
  { quality, findings, dates, site }: QualityPage,
  name: string,
  of: string,
): Response {
  if (name === "doubtful.csv") return csvFile(qualityFindingsTable(findings), of);
  if (name === "gaps.csv") return csvFile(gapsTable(quality.gaps, site.timezone), of);
  if (name === "balance-by-day.csv") return csvFile(balanceByDay(quality.balance), of);
  for (const { name: logger, channels, coverage } of quality.loggers) {
    const rows = dates.map((date) => ({ date, coverage: coverage.get(date) ?? {} }));
    const table = coverageByDayTable(logger, channels, rows);
    if (`${table.name}.csv` === name) return csvFile(table, of);
  }
  return new Response("There is no such table.\n", { status: 404 });
}
