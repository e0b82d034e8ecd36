import { and, desc, eq, getTableColumns } from "drizzle-orm";
import type { Database } from "../open-database";
import { type LogState, log } from "../schema/log";
import { logger } from "../schema/logger";

/** One log as lists show it. */
export type LogRow = {
  logId: number;
  loggerName: string;
  name: string;
  sha256: string;
  sizeBytes: number;
  compressedBytes: number;
  state: LogState;
  /** The complete columns.json it was read with; null before it was. */
  columnMap: unknown;
  evidence: unknown;
  /** The `LogVerdict` of reading it; null before it was read. */
  verdict: unknown;
  firstMs: number | null;
  lastMs: number | null;
  receivedAtMs: number;
  importedAtMs: number | null;
  problem: unknown;
  /** Whether samples of the logs before it don't count within a period, and that; null for its own first or last sample. */
  replaces: boolean;
  replacesFromMs: number | null;
  replacesToMs: number | null;
};

/** Every log of a site, the latest received first. */
export async function logsOf(database: Database, siteId: number): Promise<LogRow[]> {
  return database.orm
    .select(LOG_COLUMNS)
    .from(log)
    .innerJoin(logger, and(eq(logger.siteId, log.siteId), eq(logger.loggerId, log.loggerId)))
    .where(eq(log.siteId, siteId))
    .orderBy(desc(log.receivedAtMs), desc(log.logId));
}

/** Columns of `LogRow`, of log joined with logger. */
const {
  siteId: _site,
  loggerId: _logger,
  position: _position,
  guessed: _guessed,
  shiftMs: _shift,
  siteZone: _zone,
  firstStampsMs: _stamps,
  ...columns
} = getTableColumns(log);
export const LOG_COLUMNS = { ...columns, loggerName: logger.name };
