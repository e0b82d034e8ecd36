import { and, eq, inArray } from "drizzle-orm";
import type { Database } from "../open-database";
import { log } from "../schema/log";

/**
 * Removes a log that was received but never imported, with its bytes. False where there is no such log or it
 * is or was imported: what is in the fold stays, and what was withdrawn from it can be restored.
 */
export async function discardLog(database: Database, siteId: number, logId: number): Promise<boolean> {
  const gone = await database.orm
    .delete(log)
    .where(and(eq(log.siteId, siteId), eq(log.logId, logId), inArray(log.state, ["received", "refused"])))
    .returning({ logId: log.logId });
  return gone.length > 0;
}
