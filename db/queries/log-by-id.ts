import { and, eq } from "drizzle-orm";
import type { Database } from "../open-database";
import { log } from "../schema/log";
import { logger } from "../schema/logger";
import { LOG_COLUMNS, type LogRow } from "./logs-of";

/** One log of a site; null where there is none of that id. */
export async function logById(database: Database, siteId: number, logId: number): Promise<LogRow | null> {
  const [found] = await database.orm
    .select(LOG_COLUMNS)
    .from(log)
    .innerJoin(logger, and(eq(logger.siteId, log.siteId), eq(logger.loggerId, log.loggerId)))
    .where(and(eq(log.siteId, siteId), eq(log.logId, logId)));
  return found ?? null;
}
