import { notFound } from "next/navigation";
import { type YearOfSite, yearOfSite } from "../../db/queries/year-of-site";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

export type YearPage = SitePage & { results: YearOfSite };

/** Whether the place of a month in an address holds a year. */
export function isYear(month: string): boolean {
  return /^(19|20)\d\d$/.test(month);
}

/** A year of a site, or the page that says there is none. */
export async function yearPage(slug: string, year: string): Promise<YearPage> {
  const page = await sitePage(slug);
  const { siteId } = page.site;
  const results = await read((database) => yearOfSite(database, siteId, year));
  if (results === null) notFound();
  return { ...page, results };
}
