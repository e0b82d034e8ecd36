import { monthsOfDays } from "../../src/report/months-of-days";
import { yearDays } from "../_tables/year-days";
import { yearMonths } from "../_tables/year-months";
import { csvFile } from "./csv-file";
import { yearPage } from "./year-page";

/** A table behind a year's pictures, as a file. */
export async function yearTable(slug: string, year: string, table: string): Promise<Response> {
  const { site, results } = await yearPage(slug, year);
  const of = `${site.slug}-${year}`;
  switch (table) {
    case "days.csv":
      return csvFile(yearDays(results.days, site.slug, site.timezone), of);
    case "months.csv":
      return csvFile(yearMonths(monthsOfDays(results.days), site.slug, site.timezone), of);
    default:
      return new Response("There is no such table.\n", { status: 404 });
  }
}
