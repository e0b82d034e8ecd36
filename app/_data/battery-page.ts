import { notFound } from "next/navigation";
import { type BatteryResults, batteryResults } from "../../db/queries/battery-results";
import type { Ratings } from "../../src/analysis/ratings";
import { ratingsAt, ratingsPeriods } from "../../src/analysis/ratings-in-force";
import { clockOf } from "../../src/report/format";
import { datesOfPeriod, type Period, parsePeriod } from "./period-query";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

/** The battery of a site over the period of an address, with the ratings in force at its end. */
export type BatteryPage = SitePage & {
  period: Period;
  /** What is wrong with the period in the address; the latest month stands instead. */
  problem: string | null;
  results: BatteryResults;
  ratings: Ratings;
};

/** The battery of a site over the period of the address. */
export async function batteryPage(
  slug: string,
  query: { readonly [key: string]: string | string[] | undefined },
): Promise<BatteryPage> {
  const page = await sitePage(slug);
  const { site, months } = page;
  const { period, problem } = parsePeriod(query, months);
  const results = await read((database) => batteryResults(database, site.siteId, datesOfPeriod(period)));
  if (results === null) notFound();
  const ratings = ratingsAt(ratingsPeriods(site.site.ratings, clockOf(site.timezone)), results.toMs - 1);
  return { ...page, period, problem, results, ratings };
}
