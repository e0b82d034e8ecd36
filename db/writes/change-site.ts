import { eq, sql } from "drizzle-orm";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { site } from "../schema/site";
import { checkedSite, siteSlug } from "./add-site";
import { enqueueRecompute } from "./enqueue-recompute";
import type { RezonePayload } from "./enqueue-refold";

/**
 * Replaces a site's site.json. Its results then stand on an older revision until the recompute that this
 * puts in line has run; where the zone is another one, logs on the site's clock are read again before it.
 *
 * @throws AppError bad-input with everything that is wrong with it, not-found, conflict where another site
 * has the name
 */
export async function changeSite(
  database: Database,
  siteId: number,
  config: unknown,
): Promise<{ siteId: number; slug: string; name: string }> {
  const parsed = checkedSite(config);
  return database.orm.transaction(async (orm) => {
    const sites = await orm
      .select({ siteId: site.siteId, name: site.name, slug: site.slug, timezone: site.timezone })
      .from(site);
    const slug = siteSlug(parsed.name);
    if (
      sites.some((other) => other.siteId !== siteId && (other.name === parsed.name || other.slug === slug))
    ) {
      throw new AppError("conflict", `There is another site named "${parsed.name}". Choose another name.`);
    }
    const changed = await orm
      .update(site)
      .set({
        slug,
        name: parsed.name,
        timezone: parsed.timezone,
        config,
        samplesRevision: sql`${site.samplesRevision} + 1`,
      })
      .where(eq(site.siteId, siteId))
      .returning({ siteId: site.siteId, slug: site.slug, name: site.name });
    if (changed.length === 0)
      throw new AppError("not-found", "There is no such site; it may have been removed.");
    const zoneBefore = sites.find((one) => one.siteId === siteId)?.timezone;
    if (zoneBefore !== parsed.timezone) {
      const payload: RezonePayload = { action: "rezone" };
      await orm.insert(job).values({ siteId, kind: "refold", payload });
    }
    await enqueueRecompute(orm, siteId);
    return changed[0];
  });
}
