import { notFound } from "next/navigation";
import { type BatteryResults, batteryResults } from "../../db/queries/battery-results";
import type { Ratings } from "../../src/analysis/ratings";
import { ratingsAt, ratingsPeriods } from "../../src/analysis/ratings-in-force";
import { clockOf } from "../../src/report/format";
import { type Period, parsePeriod, periodDays } from "./period-query";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

/** The battery of a site over a period, with the ratings in force at the period's end. */
export type BatteryPage = SitePage & { period: Period; results: BatteryResults; ratings: Ratings };

/** The battery over the period of an address; `period` null where nothing was logged so far. */
export async function batteryPage(
  slug: string,
  query: { readonly [key: string]: string | string[] | undefined },
): Promise<BatteryPage | (SitePage & { period: null })> {
  const page = await sitePage(slug);
  const { site, months } = page;
  const period = parsePeriod(query, months);
  if (period === null) return { ...page, period };
  const days = periodDays(period, months, site.timezone);
  const results = await read((database) => batteryResults(database, site.siteId, days));
  if (results === null) notFound();
  const ratings = ratingsAt(ratingsPeriods(site.site.ratings, clockOf(site.timezone)), days.toMs - 1);
  return { ...page, period, results, ratings };
}
