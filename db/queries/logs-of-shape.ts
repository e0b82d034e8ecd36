import { logShape, type ShapedHead, sameShape } from "../../src/ingest/log-shape";
import { shapedHead } from "../../src/ingest/shaped-head";
import { SNIFF_BYTES } from "../../src/ingest/sniff-log";
import type { ColumnRef } from "../../src/site/column-map-schema";
import type { Database } from "../open-database";
import { storedLogSource } from "./stored-log-source";

type StoredLog = { logId: number; name: string; sizeBytes: number };

/**
 * The other imported logs of a log's logger that look like it, by their ids. The head of each log of the logger is
 * read for it.
 *
 * @param log.timeColumn what its map takes the time from
 */
export async function logsOfShape(
  database: Database,
  siteId: number,
  log: StoredLog & { loggerId: number; timeColumn: ColumnRef | readonly ColumnRef[] },
): Promise<number[]> {
  const head = async (of: StoredLog): Promise<ShapedHead | null> => {
    const bytes = await headOf(database, siteId, of);
    return shapedHead(of.name, bytes, bytes.byteLength < SNIFF_BYTES, [log.timeColumn]);
  };
  const own = await head(log);
  if (own === null) return [];
  const shape = logShape(own, log.timeColumn);
  const others = await database.sql<StoredLog[]>`
    select log_id as "logId", name, size_bytes as "sizeBytes" from log
    where site_id = ${siteId} and logger_id = ${log.loggerId} and state = 'imported' and log_id <> ${log.logId}
    order by position`;
  const same: number[] = [];
  for (const other of others) {
    const found = await head(other);
    if (found !== null && sameShape(shape, logShape(found, log.timeColumn))) same.push(other.logId);
  }
  return same;
}

async function headOf(database: Database, siteId: number, log: StoredLog): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const bytes of storedLogSource(database, siteId, log).open()) {
    parts.push(bytes);
    size += bytes.byteLength;
    if (size >= SNIFF_BYTES) break;
  }
  return Buffer.concat(parts).subarray(0, SNIFF_BYTES);
}
