import { eq } from "drizzle-orm";
import type { Database } from "../open-database";
import { site } from "../schema/site";

/** Which state of the samples a site's results stand on: they are current where the two are equal. */
export type ResultsRevision = {
  samplesRevision: number;
  /** Null before the first results. */
  resultsRevision: number | null;
  resultsComputedAtMs: number | null;
};

/** The revisions of one site: cheap, for polling. Null where there is no such site. */
export async function resultsRevision(database: Database, siteId: number): Promise<ResultsRevision | null> {
  const rows = await database.orm
    .select({
      samplesRevision: site.samplesRevision,
      resultsRevision: site.resultsRevision,
      resultsComputedAtMs: site.resultsComputedAtMs,
    })
    .from(site)
    .where(eq(site.siteId, siteId));
  return rows[0] ?? null;
}
