import { notFound } from "next/navigation";
import { cache } from "react";
import { monthsOf } from "../../db/queries/months-of";
import { recentOpenNeutral } from "../../db/queries/recent-open-neutral";
import { type SiteRow, siteBySlug } from "../../db/queries/site-by-slug";
import { read } from "./read";

/** What every sheet of a site needs. */
export type SitePage = {
  site: SiteRow;
  /** Local months with results, ascending. */
  months: string[];
  monthHref: string | null;
  /** When the site's log last looked like an open neutral, epoch ms; null where it didn't lately. */
  neutralAtMs: number | null;
};

/** The site of an address, or the page that says there is none. */
export const sitePage = cache(async (slug: string): Promise<SitePage> => {
  const site = await read((database) => siteBySlug(database, decodeURIComponent(slug)));
  if (site === null) notFound();
  const [months, neutralAtMs] = await read((database) =>
    Promise.all([monthsOf(database, site.siteId), recentOpenNeutral(database, site.siteId)]),
  );
  const latest = months.at(-1);
  const monthHref = latest === undefined ? null : `/sites/${site.slug}/${latest}`;
  return { site, months, monthHref, neutralAtMs };
});
