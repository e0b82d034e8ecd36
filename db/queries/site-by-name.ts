import { eq, or } from "drizzle-orm";
import type { Database } from "../open-database";
import { site } from "../schema/site";
import { type SiteRow, siteRow } from "./site-by-slug";

/** The site of a name, or else of a slug, as a person types either; null where there is none. */
export async function siteByName(database: Pick<Database, "orm">, name: string): Promise<SiteRow | null> {
  const rows = await database.orm
    .select()
    .from(site)
    .where(or(eq(site.name, name), eq(site.slug, name)));
  const found = rows.find((row) => row.name === name) ?? rows[0];
  return found === undefined ? null : siteRow(found);
}
