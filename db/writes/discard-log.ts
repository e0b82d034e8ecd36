import { and, eq, ne } from "drizzle-orm";
import type { Database } from "../open-database";
import { log } from "../schema/log";

/**
 * Removes a log that was received but never imported, with its bytes. False where there is no such log or it
 * is imported: what is in the fold stays.
 */
export async function discardLog(database: Database, siteId: number, logId: number): Promise<boolean> {
  const gone = await database.orm
    .delete(log)
    .where(and(eq(log.siteId, siteId), eq(log.logId, logId), ne(log.state, "imported")))
    .returning({ logId: log.logId });
  return gone.length > 0;
}
