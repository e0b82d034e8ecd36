import type { Database } from "../../db/open-database";
import type { LogRow } from "../../db/queries/logs-of";
import { storedLogSource } from "../../db/queries/stored-log-source";
import { HEAD_BYTES } from "../../src/ingest/read-log";

/** The first bytes of a stored log, as many as the inference looks at. */
export async function logHead(database: Database, siteId: number, log: LogRow): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const bytes of storedLogSource(database, siteId, log).open()) {
    parts.push(bytes);
    size += bytes.byteLength;
    if (size >= HEAD_BYTES) break;
  }
  return Buffer.concat(parts).subarray(0, HEAD_BYTES);
}
