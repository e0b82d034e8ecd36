import type { Database } from "../../db/open-database";
import { listSites } from "../../db/queries/list-sites";
import { siteByName } from "../../db/queries/site-by-name";
import { type SiteRow, siteBySlug } from "../../db/queries/site-by-slug";
import { CommandError } from "./command-error";

/** The site of a name (or its address). @throws CommandError that names the sites there are */
export async function findSite(database: Database, name: string): Promise<SiteRow> {
  const found = (await siteByName(database, name)) ?? (await siteBySlug(database, name));
  if (found !== null) return found;
  const sites = await listSites(database);
  throw new CommandError(1, `There is no site named "${name}".`, [
    sites.length === 0
      ? 'There is no site yet: add one with "legroom site add site.json".'
      : `The sites are: ${sites.map((site) => `"${site.name}"`).join(", ")}.`,
  ]);
}
