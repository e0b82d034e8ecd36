import { notFound } from "next/navigation";
import { type LegsResults, legsResults } from "../../db/queries/legs-results";
import { datesOfPeriod, type Period, parsePeriod } from "./period-query";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

export type LegsPage = SitePage & { period: Period; problem: string | null; results: LegsResults };

/** The two legs of a site over the period of the address. */
export async function legsPage(
  slug: string,
  query: { readonly [key: string]: string | string[] | undefined },
): Promise<LegsPage> {
  const page = await sitePage(slug);
  const { period, problem } = parsePeriod(query, page.months);
  const results = await read((database) => legsResults(database, page.site.siteId, datesOfPeriod(period)));
  if (results === null) notFound();
  return { ...page, period, problem, results };
}
