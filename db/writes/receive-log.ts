import { createHash, randomUUID } from "node:crypto";
import { once } from "node:events";
import { finished } from "node:stream/promises";
import { createPieceGatherer } from "../../src/ingest/piece-gatherer";
import { HEAD_BYTES, MAX_LOG_BYTES } from "../../src/ingest/read-log";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { openCopyIn } from "../samples/copy-in";
import { encodeChunk } from "../samples/encode-chunk";
import { gatherPieces, logGzip } from "../samples/keep-log";
import type { LogState } from "../schema/log";
import { toAppError } from "../to-app-error";
import { ensureLogger } from "./ensure-logger";
import { lockContent } from "./lock-content";

/** A log that the database keeps, to be given a column map and imported. */
export type ReceivedLog = {
  logId: number;
  sha256: string;
  sizeBytes: number;
  /** Its first bytes, up to a megabyte: what `sniffLog` needs. */
  head: Buffer;
  /** Pieces from further in, as `furtherPieces` takes them of a file. */
  further: readonly Uint8Array[];
  /** `received` for a new one; what it was where the logger had the same content already. */
  state: LogState;
  alreadyThere: boolean;
};

/**
 * Keeps a log as it came, in a transaction of its own, and imports nothing. The body is compressed and stored
 * as it comes: memory stays the same however large it is.
 *
 * @throws AppError not-found (site), bad-input (logger; a log too large), disk-full, server-unreachable:
 * nothing is stored then. Errors of the body go through.
 */
export async function receiveLog(
  database: Database,
  {
    siteId,
    loggerName,
    name,
    body,
  }: { siteId: number; loggerName: string; name: string; body: AsyncIterable<Uint8Array> },
): Promise<ReceivedLog> {
  const sha = createHash("sha256");
  const head: Uint8Array[] = [];
  let headBytes = 0;
  let sizeBytes = 0;
  try {
    // In a transaction of its own: others would wait for a new logger's row for as long as the upload takes.
    const loggerId = await database.sql.begin((tx) => ensureLogger(tx, siteId, loggerName));
    return await database.sql.begin(async (tx) => {
      const [{ logId }] = await tx<{ logId: number }[]>`
        insert into log (site_id, logger_id, sha256, name, size_bytes, compressed_bytes, state)
        values (${siteId}, ${loggerId}, ${randomUUID()}, ${name.replaceAll("\0", "")}, 0, 0, 'received')
        returning log_id as "logId"`;
      const gzip = logGzip();
      const copy = await openCopyIn(
        tx,
        "copy log_chunk (site_id, log_id, seq, bytes) from stdin with (format binary)",
      );
      let seq = 0;
      let compressedBytes = 0;
      const pieces: Buffer[] = [];
      const further = createPieceGatherer(HEAD_BYTES);
      const gathered = gatherPieces((piece) => pieces.push(piece));
      gzip.on("data", (piece: Buffer) => gathered.add(piece));
      const store = async () => {
        for (let piece = pieces.shift(); piece !== undefined; piece = pieces.shift()) {
          compressedBytes += piece.length;
          await copy.write(encodeChunk(siteId, logId, seq++, piece));
        }
      };
      try {
        for await (const bytes of body) {
          sha.update(bytes);
          further.add(bytes);
          sizeBytes += bytes.byteLength;
          if (sizeBytes > MAX_LOG_BYTES) {
            throw new AppError(
              "bad-input",
              `"${name}" is larger than the ${MAX_LOG_BYTES / 1024 ** 3} GiB that one import takes. Split it by months and import the parts.`,
            );
          }
          if (headBytes < HEAD_BYTES) {
            head.push(Uint8Array.from(bytes));
            headBytes += bytes.byteLength;
          }
          if (!gzip.write(bytes)) await once(gzip, "drain");
          await store();
        }
        const done = finished(gzip);
        gzip.end();
        await done;
        gathered.end();
        await store();
        await copy.end();
      } catch (error) {
        copy.abort();
        throw error;
      } finally {
        gzip.destroy();
      }
      const sha256 = sha.digest("hex");
      await lockContent(tx, loggerId, sha256);
      const [known] = await tx<{ logId: number; state: LogState }[]>`
        select log_id as "logId", state from log
        where site_id = ${siteId} and logger_id = ${loggerId} and sha256 = ${sha256} and state <> 'withdrawn'`;
      const found = {
        sha256,
        sizeBytes,
        head: Buffer.concat(head).subarray(0, HEAD_BYTES),
        further: further.pieces(),
      };
      if (known !== undefined) {
        await tx`delete from log where site_id = ${siteId} and log_id = ${logId}`;
        return { ...found, ...known, alreadyThere: true };
      }
      await tx`
        update log set sha256 = ${sha256}, size_bytes = ${sizeBytes}, compressed_bytes = ${compressedBytes}
        where site_id = ${siteId} and log_id = ${logId}`;
      if (found.further.length > 0) {
        await tx`insert into log_further (site_id, log_id, bytes)
          values (${siteId}, ${logId}, ${Buffer.concat(found.further)})`;
      }
      return { ...found, logId, state: "received" as const, alreadyThere: false };
    });
  } catch (error) {
    throw toAppError(error);
  }
}
