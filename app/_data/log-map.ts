import type { Database } from "../../db/open-database";
import { furtherOf } from "../../db/queries/further-of";
import type { LogRow } from "../../db/queries/logs-of";
import { mapForLog } from "../../db/queries/map-for-log";
import type { ChosenMap } from "../../src/ingest/choose-map";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import { logHead } from "./log-head";

/** How a stored log is to be read: by the map given, by one that is kept of its shape, or by inference. */
export async function logMap(
  database: Database,
  siteId: number,
  log: LogRow,
  given: ColumnMapInput | null = null,
): Promise<ChosenMap> {
  const { name, loggerName, receivedAtMs, sizeBytes } = log;
  const head = await logHead(database, siteId, log);
  const further = await furtherOf(database, siteId, log);
  return mapForLog(database, { siteId, loggerName, name, head, further, sizeBytes, given, receivedAtMs });
}
