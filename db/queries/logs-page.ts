import { and, desc, eq, lt } from "drizzle-orm";
import type { Database } from "../open-database";
import { log } from "../schema/log";
import { logger } from "../schema/logger";
import { LOG_COLUMNS, type LogRow } from "./logs-of";

/** A log in a list: without what it was read by, which is far larger than the rest. */
export type ListedLog = Omit<LogRow, "columnMap" | "evidence">;

/** A page of a site's logs. */
export type LogsPage = {
  logs: ListedLog[];
  /** Given as `before`, the next page follows; null on the last one. */
  next: number | null;
};

/**
 * Logs of a site by their numbers, the latest first: a page of `limit`, of those below the number `before`. What a
 * page costs doesn't depend on how many logs there are, nor on how far down it lies.
 */
export async function logsPage(
  database: Pick<Database, "orm">,
  siteId: number,
  { before, limit }: { before?: number; limit: number },
): Promise<LogsPage> {
  const rows = await database.orm
    .select(columns)
    .from(log)
    .innerJoin(logger, and(eq(logger.siteId, log.siteId), eq(logger.loggerId, log.loggerId)))
    .where(and(eq(log.siteId, siteId), before === undefined ? undefined : lt(log.logId, before)))
    .orderBy(desc(log.logId))
    .limit(limit + 1);
  const logs = rows.slice(0, limit);
  return { logs, next: rows.length > limit ? logs[logs.length - 1].logId : null };
}

const { columnMap: _map, evidence: _evidence, ...columns } = LOG_COLUMNS;
