import { and, desc, eq } from "drizzle-orm";
import type { KeptMap } from "../../src/ingest/choose-map";
import type { ColumnMap } from "../../src/site/column-map";
import type { Database } from "../open-database";
import { keptMap } from "../schema/kept-map";
import { logger } from "../schema/logger";

/** Maps of a site that a log is held against; of more, those that were used least lately are left out. */
const MAX_MAPS = 200;

/** The column maps by which a site's logs were imported, one a logger and shape, the latest used first. */
export async function keptMaps(database: Pick<Database, "orm">, siteId: number): Promise<KeptMap[]> {
  const rows = await database.orm
    .select({
      loggerName: logger.name,
      shape: keptMap.shape,
      map: keptMap.columnMap,
      guessed: keptMap.guessed,
      logName: keptMap.logName,
      createdAtMs: keptMap.createdAtMs,
    })
    .from(keptMap)
    .innerJoin(logger, and(eq(logger.siteId, keptMap.siteId), eq(logger.loggerId, keptMap.loggerId)))
    .where(eq(keptMap.siteId, siteId))
    .orderBy(desc(keptMap.lastUsedMs), keptMap.shapeHash)
    .limit(MAX_MAPS);
  return rows.map((row) => ({ ...row, map: row.map as ColumnMap }));
}
