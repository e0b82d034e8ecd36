import { furtherPieces } from "../../src/ingest/further-pieces";
import { placesOfPieces } from "../../src/ingest/places-of-pieces";
import { HEAD_BYTES } from "../../src/ingest/read-log";
import type { Database } from "../open-database";
import { storedLogSource } from "./stored-log-source";

/**
 * The pieces from further in of a stored log, as `furtherPieces` takes them of a file; none of one that is hardly longer
 * than its head. Of a log that was received they were kept; another's bytes are gone through.
 */
export async function furtherOf(
  database: Pick<Database, "sql">,
  siteId: number,
  log: { logId: number; name: string; sizeBytes: number },
): Promise<readonly Uint8Array[]> {
  const places = placesOfPieces(log.sizeBytes, HEAD_BYTES);
  if (places.length === 0) return [];
  const [kept] = await database.sql<{ bytes: Buffer }[]>`
    select bytes from log_further where site_id = ${siteId} and log_id = ${log.logId}`;
  const pieces: Uint8Array[] = [];
  let at = 0;
  for (const { from, to } of places) {
    pieces.push(kept?.bytes.subarray(at, at + to - from) ?? new Uint8Array(0));
    at += to - from;
  }
  // Those of another cut than this version's are no good.
  if (kept !== undefined && at === kept.bytes.length) return pieces;
  return (await furtherPieces(storedLogSource(database, siteId, log), HEAD_BYTES)).further;
}
