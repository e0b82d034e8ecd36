import { and, eq, ne } from "drizzle-orm";
import type { Database } from "../open-database";
import { log } from "../schema/log";
import { logger } from "../schema/logger";
import { LOG_COLUMNS, type LogRow } from "./logs-of";

/** A logger's log of that content (SHA-256 of its bytes, in hexadecimal) that wasn't withdrawn; null where it has none. */
export async function logOfContent(
  database: Pick<Database, "orm">,
  siteId: number,
  loggerName: string,
  sha256: string,
): Promise<LogRow | null> {
  const [found] = await database.orm
    .select(LOG_COLUMNS)
    .from(log)
    .innerJoin(logger, and(eq(logger.siteId, log.siteId), eq(logger.loggerId, log.loggerId)))
    .where(
      and(
        eq(log.siteId, siteId),
        eq(logger.name, loggerName),
        eq(log.sha256, sha256),
        ne(log.state, "withdrawn"),
      ),
    );
  return found ?? null;
}
