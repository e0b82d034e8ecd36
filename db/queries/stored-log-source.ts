import { Readable } from "node:stream";
import { createGunzip } from "node:zlib";
import type { LogSource } from "../../src/ingest/log-source";
import type { Database } from "../open-database";

/**
 * A stored log, byte for byte as it came, to be read or downloaded. Pieces are fetched one at a time.
 */
export function storedLogSource(
  database: Pick<Database, "sql">,
  siteId: number,
  log: { logId: number; name: string; sizeBytes: number },
): LogSource {
  async function* pieces(): AsyncGenerator<Buffer> {
    for (let seq = 0; ; seq++) {
      const [row] = await database.sql<{ bytes: Buffer }[]>`
        select bytes from log_chunk where site_id = ${siteId} and log_id = ${log.logId} and seq = ${seq}`;
      if (row === undefined) return;
      yield row.bytes;
    }
  }
  return {
    name: log.name,
    sizeBytes: log.sizeBytes,
    open: () => {
      const compressed = Readable.from(pieces());
      const gunzip = createGunzip({ chunkSize: 256 * 1024 });
      compressed.on("error", (error) => gunzip.destroy(error));
      gunzip.on("close", () => compressed.destroy());
      return compressed.pipe(gunzip);
    },
  };
}
