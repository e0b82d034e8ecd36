import { eq, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { type LogState, log } from "../schema/log";

/** How many logs a site has in each state. */
export async function logCounts(
  database: Pick<Database, "orm">,
  siteId: number,
): Promise<{ [S in LogState]?: number }> {
  const rows = await database.orm
    .select({ state: log.state, count: sql<number>`count(*)::int` })
    .from(log)
    .where(eq(log.siteId, siteId))
    .groupBy(log.state);
  return Object.fromEntries(rows.map(({ state, count }) => [state, count]));
}
