import { eq } from "drizzle-orm";
import { parseSite, type Site } from "../../src/site/parse-site";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { site as siteTable } from "../schema/site";

/** A site with its configuration, as written (`config`) and complete (`site`). */
export type SiteRow = {
  siteId: number;
  slug: string;
  name: string;
  timezone: string;
  /** site.json as it was written. */
  config: unknown;
  site: Site;
  samplesRevision: number;
  resultsRevision: number | null;
  resultsComputedAtMs: number | null;
};

/** The site of a slug (the name in its address); null where there is none. */
export async function siteBySlug(database: Pick<Database, "orm">, slug: string): Promise<SiteRow | null> {
  const rows = await database.orm.select().from(siteTable).where(eq(siteTable.slug, slug));
  return rows.length === 0 ? null : siteRow(rows[0]);
}

/** Makes a `SiteRow` of a row of the table. @throws AppError bad-input where its site.json no longer reads */
export function siteRow(row: typeof siteTable.$inferSelect): SiteRow {
  const parsed = parseSite(row.config);
  if (!parsed.ok) {
    throw new AppError(
      "bad-input",
      `The stored site.json of "${row.name}" can't be read: ${parsed.problems.map((p) => p.message).join(" ")} Give it anew.`,
    );
  }
  const { createdAtMs: _, ...rest } = row;
  return { ...rest, site: parsed.site };
}
