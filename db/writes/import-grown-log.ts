import { createHash } from "node:crypto";
import { once } from "node:events";
import { finished } from "node:stream/promises";
import { isDeepStrictEqual } from "node:util";
import { constants, gunzipSync } from "node:zlib";
import type { LogSource } from "../../src/ingest/log-source";
import type { LogVerdict } from "../../src/ingest/log-verdict";
import { continueLog, MAX_LOG_BYTES } from "../../src/ingest/read-log";
import type { ReadPosition } from "../../src/ingest/read-position";
import type { ColumnMap } from "../../src/site/column-map";
import type { Database } from "../open-database";
import {
  type ContentPrints,
  continueContentPrinter,
  createContentPrinter,
  PRINT_BLOCK_BYTES,
} from "../samples/content-prints";
import type { TransactionSql } from "../samples/copy-in";
import { gatherPieces, logGzip } from "../samples/keep-log";
import { sameBeginning } from "../samples/same-beginning";
import { createSampleStore, type Observer } from "../samples/store-samples";
import { transactionOrm } from "../transaction-orm";
import { enqueueRecompute } from "./enqueue-recompute";
import type { ImportOptions, ImportOutcome } from "./import-log";
import { type FoldOptions, inFoldTransaction } from "./in-fold-transaction";
import { insertRejects } from "./insert-rejects";
import { keepGrowth } from "./keep-growth";
import { markChanged } from "./mark-changed";
import { openLogger } from "./open-logger";
import { storableJson } from "./storable-json";

type TakenVerdict = Extract<LogVerdict, { refused: false }>;

/** A log in a file that can be read anywhere. */
type FileSource = LogSource & {
  range(from: number, to: number): AsyncIterable<Uint8Array>;
  sizeBytes: number;
};

/** Logs that are held against a file of which nothing is known: those that came in last. */
const LATEST_LOGS = 8;

/** Bytes that are looked at before a file is held against a whole log. */
const FIRST_BYTES = 4096;

/** Compressed bytes of a last chunk to which more are appended; a growth a minute would make a chunk a minute. */
const SMALL_CHUNK_BYTES = 64 * 1024;

/**
 * Imports what a log has grown by: a file that begins with the content of a log which the logger has already is that
 * log, with more rows. Only the new rows are read and stored where that gives what a fresh import of the whole file
 * gives; else (a log of less than a mebibyte or a thousand rows, one out of order, one in the midst of others) the log is read again from
 * its beginning, in its old place. Either way logs, samples, counts and rejects are as after that fresh import, bit for
 * bit; and the log keeps its column map.
 *
 * A file that is no longer than its log, and the same, changes nothing. Where the old part has changed it is another
 * log.
 *
 * @param request.columnMap a map that was given by a person: where the log has another one it is not taken for grown
 * @returns null where the file is no grown log of this logger: it is to be imported as any other
 * @throws as `importLog`
 */
export async function importGrownLog(
  database: Database,
  request: Pick<ImportOptions, "siteId" | "allOrNothing" | "signal" | "onProgress"> & {
    loggerName: string;
    source: LogSource;
    receivedAtMs: number;
    columnMap?: ColumnMap;
  },
): Promise<ImportOutcome | null> {
  const { siteId, loggerName, columnMap, signal } = request;
  const source = fileSource(request.source);
  if (source === null) return null;
  const found = await findBeginning(database.sql, siteId, loggerName, source);
  if (found === null || (columnMap !== undefined && !isDeepStrictEqual(plain(columnMap), found.map)))
    return null;
  try {
    return await inFoldTransaction(database, siteId, request, async (tx, refoldLogger) => {
      // It was found without the lock: another process may have taken the same growth meanwhile.
      const log = await logOf(tx, siteId, found.logId);
      if (log === null || log.sizeBytes !== found.sizeBytes || log.sha256 !== found.sha256)
        throw new NotGrown();
      if (source.sizeBytes === log.sizeBytes) {
        await tx`update log_growth set file_id = ${source.fileId ?? null} where site_id = ${siteId} and log_id = ${log.logId}`;
        const { logId, name, importedAtMs } = log;
        return { kind: "already-there" as const, logId, name, importedAtMs };
      }
      const { prints, addedBytes } = await appendBytes(tx, siteId, log, source, signal);
      await tx`
        update log set sha256 = ${prints.sha256}, size_bytes = ${prints.sizeBytes}, received_at_ms = ${request.receivedAtMs},
          imported_at_ms = (extract(epoch from clock_timestamp()) * 1000)::bigint,
          compressed_bytes = compressed_bytes + ${addedBytes}
        where site_id = ${siteId} and log_id = ${log.logId}`;
      const growth = {
        fileId: source.fileId ?? null,
        prints: prints.sizeBytes < PRINT_BLOCK_BYTES ? null : prints,
      };
      await tx`savepoint read_on`;
      const readOn = await takeNewRows(database, tx, log, source, request);
      let verdict: TakenVerdict;
      let position: ReadPosition | null = null;
      if (readOn !== null) {
        ({ verdict, position } = readOn);
      } else {
        await tx`rollback to savepoint read_on`;
        await keepGrowth(tx, siteId, log.logId, { ...growth, position: null });
        const refolded = await refoldLogger(log.loggerId, {
          remapped: [log.logId],
          sourceOf: (one) => (one === log.logId ? source : null),
        });
        verdict = refolded?.verdicts.get(log.logId) as TakenVerdict;
      }
      if (request.allOrNothing && verdict.counts.rejected + verdict.counts.conflicts > 0)
        throw new Refused(verdict);
      if (readOn !== null) await keepGrowth(tx, siteId, log.logId, { ...growth, position });
      const [{ revision }] = await tx<{ revision: number }[]>`
        select samples_revision as revision from site where site_id = ${siteId}`;
      return {
        kind: "imported" as const,
        logId: log.logId,
        verdict,
        added: verdict.counts.taken - log.taken,
        grownFromBytes: log.sizeBytes,
        samplesRevision: revision,
        analysed: false,
      };
    });
  } catch (error) {
    if (error instanceof NotGrown) return null;
    if (error instanceof Refused) return { kind: "refused", verdict: error.verdict };
    throw error;
  }
}

/** Thrown to roll back: it turned out to be another log after all. */
class NotGrown extends Error {}

/** Thrown to roll back. */
class Refused extends Error {
  constructor(readonly verdict: LogVerdict) {
    super("refused");
  }
}

/** Thrown to roll back: the log has to be read from its beginning. */
class StartOver extends Error {}

type GrownLog = {
  logId: number;
  loggerId: number;
  name: string;
  sha256: string;
  sizeBytes: number;
  importedAtMs: number | null;
  map: ColumnMap;
  guessed: string[] | null;
  firstMs: number | null;
  lastMs: number | null;
  replaces: boolean;
  taken: number;
  fileId: string | null;
  blocks: Buffer | null;
  shaState: Buffer | null;
  readBytes: number | null;
  reading: Buffer | null;
  tailFromMs: number | null;
};

function fileSource(source: LogSource): FileSource | null {
  const { range, sizeBytes } = source;
  return range === undefined || sizeBytes === null || sizeBytes > MAX_LOG_BYTES
    ? null
    : { ...source, range, sizeBytes };
}

/** The log of the logger that the file begins with: of several the longest. */
async function findBeginning(
  sql: Database["sql"],
  siteId: number,
  loggerName: string,
  source: FileSource,
): Promise<GrownLog | null> {
  const ids = await sql<{ logId: number }[]>`
    with logger_of as (select logger_id from logger where site_id = ${siteId} and name = ${loggerName})
    (select l.log_id as "logId" from log_growth g join log l using (site_id, log_id), logger_of o
      where g.site_id = ${siteId} and g.file_id = ${source.fileId ?? null} and l.logger_id = o.logger_id
      order by l.log_id desc limit ${LATEST_LOGS})
    union
    (select l.log_id from logger_of o join log l on l.site_id = ${siteId} and l.logger_id = o.logger_id
      where l.position is not null order by l.position desc limit ${LATEST_LOGS})`;
  const logs: GrownLog[] = [];
  for (const { logId } of ids) {
    const log = await logOf(sql, siteId, logId);
    if (log !== null && log.sizeBytes > 0 && log.sizeBytes <= source.sizeBytes) logs.push(log);
  }
  for (const log of logs.sort((a, b) => b.sizeBytes - a.sizeBytes))
    if (await beginsWith(sql, siteId, source, log)) return log;
  return null;
}

async function logOf(
  sql: Database["sql"] | TransactionSql,
  siteId: number,
  logId: number,
): Promise<GrownLog | null> {
  const [log] = await sql<GrownLog[]>`
    select log_id as "logId", logger_id as "loggerId", name, sha256, size_bytes as "sizeBytes",
      imported_at_ms as "importedAtMs", column_map as map, guessed, first_ms as "firstMs", last_ms as "lastMs",
      replaces, (verdict #>> '{counts,taken}')::float8 as taken, file_id as "fileId", blocks, sha_state as "shaState",
      read_bytes as "readBytes", reading, tail_from_ms as "tailFromMs"
    from log left join log_growth using (site_id, log_id)
    where site_id = ${siteId} and log_id = ${logId} and state = 'imported'`;
  return log ?? null;
}

async function beginsWith(
  sql: Database["sql"],
  siteId: number,
  source: FileSource,
  log: GrownLog,
): Promise<boolean> {
  const { blocks, sizeBytes } = log;
  if (blocks !== null) {
    const isSameFile = source.fileId !== undefined && source.fileId === log.fileId;
    return sameBeginning(source.range, { sizeBytes, blocks }, isSameFile);
  }
  if (!(await startsAlike(sql, siteId, source, log))) return false;
  const hash = createHash("sha256");
  for await (const bytes of source.range(0, sizeBytes)) hash.update(bytes);
  return hash.digest("hex") === log.sha256;
}

/** Whether the first bytes are those of the log, so that not every file is read to its end for every log. */
async function startsAlike(
  sql: Database["sql"],
  siteId: number,
  source: FileSource,
  { logId, sizeBytes }: GrownLog,
): Promise<boolean> {
  const [chunk] = await sql<{ bytes: Buffer }[]>`
    select substring(bytes from 1 for 65536) as bytes from log_chunk
    where site_id = ${siteId} and log_id = ${logId} and seq = 0`;
  if (chunk === undefined) return false;
  // A piece of a gzip file gives what it holds, without its end.
  const kept = gunzipSync(chunk.bytes, { finishFlush: constants.Z_SYNC_FLUSH });
  const count = Math.min(FIRST_BYTES, sizeBytes, kept.length);
  const first: Uint8Array[] = [];
  for await (const bytes of source.range(0, count)) first.push(bytes);
  return Buffer.concat(first).equals(kept.subarray(0, count));
}

/**
 * Appends the new bytes to those that are kept of the log, and continues the prints of its content. `addedBytes` is
 * what they take, packed: the sum over all pieces would read every one of them.
 */
async function appendBytes(
  tx: TransactionSql,
  siteId: number,
  { logId, sizeBytes, blocks, shaState }: GrownLog,
  source: FileSource,
  signal: AbortSignal | undefined,
): Promise<{ prints: ContentPrints; addedBytes: number }> {
  const wholeBlocks = sizeBytes - (sizeBytes % PRINT_BLOCK_BYTES);
  let printer =
    blocks === null || shaState === null
      ? null
      : await continueContentPrinter({ sizeBytes, blocks, shaState }, source.range(wholeBlocks, sizeBytes));
  if (printer === null) {
    printer = await createContentPrinter();
    for await (const bytes of source.range(0, sizeBytes)) printer.add(bytes);
  }
  const [last] = await tx<{ seq: number; length: number }[]>`
    select seq, length(bytes) as length from log_chunk where site_id = ${siteId} and log_id = ${logId}
    order by seq desc limit 1`;
  let seq = (last?.seq ?? -1) + 1;
  let small = last !== undefined && last.length < SMALL_CHUNK_BYTES;
  let addedBytes = 0;
  const pieces: Buffer[] = [];
  const store = async () => {
    for (let piece = pieces.shift(); piece !== undefined; piece = pieces.shift()) {
      addedBytes += piece.length;
      if (small) {
        await tx`update log_chunk set bytes = bytes || ${piece}
          where site_id = ${siteId} and log_id = ${logId} and seq = ${last.seq}`;
      } else {
        await tx`insert into log_chunk (site_id, log_id, seq, bytes) values (${siteId}, ${logId}, ${seq++}, ${piece})`;
      }
      small = false;
    }
  };
  // Members of a gzip file that follow one another are one file (RFC 1952, 2.2).
  const gzip = logGzip();
  const gathered = gatherPieces((piece) => pieces.push(piece));
  gzip.on("data", (piece: Buffer) => gathered.add(piece));
  let read = sizeBytes;
  try {
    for await (const bytes of source.range(sizeBytes, source.sizeBytes)) {
      signal?.throwIfAborted();
      read += bytes.byteLength;
      printer.add(bytes);
      if (!gzip.write(bytes)) await once(gzip, "drain");
      await store();
    }
    const done = finished(gzip);
    gzip.end();
    await done;
  } finally {
    gzip.destroy();
  }
  gathered.end();
  await store();
  // It was cut off while it was read.
  if (read !== source.sizeBytes) throw new NotGrown();
  return { prints: printer.prints(), addedBytes };
}

const NOBODY: Observer = { begin() {}, push() {}, void() {} };

/** Reads and stores the new rows alone; null where that would not be all that changes. */
async function takeNewRows(
  database: Database,
  tx: TransactionSql,
  log: GrownLog,
  source: FileSource,
  request: { siteId: number; receivedAtMs: number } & FoldOptions,
): Promise<{ verdict: TakenVerdict; position: ReadPosition | null } | null> {
  const { siteId, signal, onProgress } = request;
  const { logId, loggerId, reading, readBytes, tailFromMs, lastMs } = log;
  if (reading === null || readBytes === null || lastMs === null || log.replaces) return null;
  const fromMs = tailFromMs ?? lastMs + 1;
  const [{ beyond, timezone, own, base, greatest }] = await tx<
    { beyond: boolean; timezone: string; own: number; base: number | null; greatest: number }[]
  >`
    select exists (select from log where site_id = ${siteId} and logger_id = ${loggerId} and log_id <> ${logId}
        and state = 'imported' and (last_ms >= ${fromMs} or replaces and coalesce(replaces_to_ms, last_ms) >= ${fromMs})) as beyond,
      (select config ->> 'timezone' from site where site_id = ${siteId}) as timezone,
      count(*) filter (where log_id = ${logId})::int as own,
      (min(fault) filter (where log_id = ${logId}) - 1)::int as base,
      coalesce(max(fault), 0)::int as greatest
    from fault_word where site_id = ${siteId} and logger_id = ${loggerId}`;
  // Another log's samples stand there, or would have been hidden.
  if (beyond) return null;
  const before = await openLogger(tx, siteId, loggerId);
  if (before.nominalMs === null) return null;
  const gone = tailFromMs === null ? 0 : await takeOutTail(tx, siteId, loggerId, tailFromMs);
  const logger = { ...before, samples: before.samples - gone };
  if (gone > 0) {
    await tx`
      update logger set samples = samples - ${gone},
        last_ms = (select max(at_ms) from sample where site_id = ${siteId} and logger_id = ${loggerId})
      where site_id = ${siteId} and logger_id = ${loggerId}`;
  }
  const faults = { base: base ?? greatest, stored: own };
  const store = createSampleStore(database.sql, tx, logger, logId, NOBODY, { faults });
  let position: ReadPosition | null = null;
  let begun = false;
  /** Leaves the connection free for the next statement; what was stored is rolled back by the caller. */
  const giveUp = async () => {
    if (begun) await store.restart();
    return null;
  };
  try {
    const outcome = await continueLog(
      source,
      log.map,
      { bytes: readBytes, state: reading, tailFromMs },
      {
        siteZone: timezone,
        receivedAtMs: request.receivedAtMs,
        guessed: new Set(log.guessed),
        signal,
        onProgress: ({ bytes, rows }) =>
          onProgress?.({ bytes, totalBytes: source.sizeBytes, rows, rowsPerS: 0, leftS: null }),
        onPosition: (told) => {
          position = told;
        },
      },
      {
        ...store,
        begin: async (shape) => {
          await store.begin(shape);
          begun = true;
        },
        end: async (words) => {
          // Its new words would take the numbers of another log's.
          if (words.length > own && faults.base + own !== greatest) throw new StartOver();
          return store.end(words);
        },
      },
    );
    const span = store.span();
    if (outcome === null) return await giveUp();
    const { verdict, rejectsBefore } = outcome;
    // A sample that was there is none any more: what hung on it is built anew with all of the log.
    if (gone > 0 && span?.firstMs !== tailFromMs) return null;
    const { rejects, ...kept } = verdict;
    await tx`
      update log set verdict = ${storableJson(kept)}::text::jsonb, last_ms = ${verdict.lastMs}
      where site_id = ${siteId} and log_id = ${logId}`;
    await tx`delete from reject where site_id = ${siteId} and log_id = ${logId} and ordinal >= ${rejectsBefore}`;
    await insertRejects(tx, siteId, logId, rejects, rejectsBefore);
    if (span !== null) {
      const after = await openLogger(tx, siteId, loggerId);
      const isSame = after.nominalMs === before.nominalMs;
      await markChanged(tx, siteId, isSame ? span.firstMs : null, isSame ? span.lastMs : null);
      await enqueueRecompute(transactionOrm(tx), siteId, { forRows: true });
    }
    return { verdict, position };
  } catch (error) {
    if (error instanceof StartOver) return giveUp();
    store.abort();
    throw error;
  }
}

/** Takes the log's last samples out, which more rows can change, with the minutes that they are in. */
async function takeOutTail(
  tx: TransactionSql,
  siteId: number,
  loggerId: number,
  fromMs: number,
): Promise<number> {
  const { count } = await tx`
    delete from sample where site_id = ${siteId} and logger_id = ${loggerId} and at_ms >= ${fromMs}`;
  return count;
}

/** As it comes back from the database. */
function plain(map: ColumnMap): unknown {
  return JSON.parse(JSON.stringify(map));
}
