import { and, desc, eq, gt, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { logger } from "../schema/logger";
import { openNeutral } from "../schema/results";

/** How long before a site's last sample a suspicion still stands over its sheets. */
const RECENT_DAYS = 31;

/**
 * Beginning (epoch ms) of the last stretch of a site that looks like an open neutral (definitions D16), where it
 * lies in the last RECENT_DAYS days before the site's last sample; null for none.
 */
export async function recentOpenNeutral(
  database: Pick<Database, "orm">,
  siteId: number,
): Promise<number | null> {
  const since = sql`(select max(${logger.lastMs}) from ${logger} where ${logger.siteId} = ${siteId}) - ${RECENT_DAYS * 86_400_000}`;
  const [last] = await database.orm
    .select({ fromMs: openNeutral.fromMs })
    .from(openNeutral)
    .where(and(eq(openNeutral.siteId, siteId), gt(openNeutral.fromMs, since)))
    .orderBy(desc(openNeutral.fromMs))
    .limit(1);
  return last?.fromMs ?? null;
}
