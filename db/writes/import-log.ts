import { createHash } from "node:crypto";
import type { FaultWord } from "../../src/analysis/series";
import { foldNominalMs } from "../../src/ingest/fold-nominal";
import type { LogSource } from "../../src/ingest/log-source";
import type { LogVerdict } from "../../src/ingest/log-verdict";
import { type FirstStamps, readLog } from "../../src/ingest/read-log";
import type { ReadPosition } from "../../src/ingest/read-position";
import type { LogShape } from "../../src/ingest/sample-sink";
import { UnreadableContainer } from "../../src/ingest/unreadable-container";
import type { ColumnMap } from "../../src/site/column-map";
import type { Site } from "../../src/site/parse-site";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import { storedLogSource } from "../queries/stored-log-source";
import { type ContentPrints, createContentPrinter, PRINT_BLOCK_BYTES } from "../samples/content-prints";
import type { TransactionSql } from "../samples/copy-in";
import { foldStamps } from "../samples/fold-stamps";
import { keepLog } from "../samples/keep-log";
import { createSampleStore, type LoggerBefore, type Observer } from "../samples/store-samples";
import type { JobProgress } from "../schema/job";
import { toAppError } from "../to-app-error";
import { transactionOrm } from "../transaction-orm";
import { checkedSite } from "./add-site";
import { enqueueRecompute } from "./enqueue-recompute";
import { ensureLogger } from "./ensure-logger";
import { keepGrowth } from "./keep-growth";
import { keepMap } from "./keep-map";
import { lockContent } from "./lock-content";
import { lockSite } from "./lock-site";
import { markChanged } from "./mark-changed";
import { openLogger } from "./open-logger";
import { type Refolded, refold } from "./refold";
import { type ComputedResults, createResultsByDay, type ResultsByDay } from "./results-by-day";
import { standsAsRead } from "./stands-as-read";
import { storableJson } from "./storable-json";
import { writeResults } from "./write-results";
import { writeVerdict } from "./write-verdict";

type TakenVerdict = Extract<LogVerdict, { refused: false }>;

/** How a log is to be imported. */
export type ImportOptions = {
  siteId: number;
  /** The complete map, nothing left to infer. */
  columnMap: ColumnMap;
  /** What the map was inferred from, kept beside it; null where it was given. */
  evidence?: unknown;
  /** Choices of the map that were inferred ("time", channels): the rejects say so. */
  guessed?: readonly string[];
  /** Refuses the log where any row is rejected or in conflict. */
  allOrNothing?: boolean;
  /**
   * The period in which samples of the logger's earlier logs don't count any more; null at an end for the log's own
   * first or last sample. Nothing is replaced without it.
   */
  replace?: { fromMs: number | null; toMs: number | null } | null;
  signal?: AbortSignal;
  onProgress?: (progress: JobProgress) => void;
};

/** What an import came to. */
export type ImportOutcome =
  | {
      kind: "imported";
      logId: number;
      verdict: TakenVerdict;
      /** Samples that the site didn't have before. */
      added: number;
      /** Bytes of the log before it has grown, where it is one that was there already; only the rest is new. */
      grownFromBytes?: number;
      /** Revision of the samples after it; the results stand on it already where `analysed`. */
      samplesRevision: number;
      analysed: boolean;
    }
  /** The logger has a log of the same content: nothing was changed. */
  | { kind: "already-there"; logId: number; name: string; importedAtMs: number | null }
  /** Nothing of it was taken, and why: its problem, or with `allOrNothing` its rejects. */
  | { kind: "refused"; verdict: LogVerdict };

/**
 * Imports a log into a site's logger: its samples, minutes, rejects, verdict and the log itself as it came, in
 * one transaction, so that it is there whole or not at all. The same content twice changes nothing.
 *
 * Where the site had no samples before, the results are computed from the samples as they pass and are
 * stored with them; otherwise a recompute is put in line in the same transaction.
 *
 * @param request.receivedAtMs when the log was received: later times in it, by more than a day, are rejected
 * @throws AppError not-found (site), bad-input (logger), cancelled, disk-full, server-unreachable: nothing is
 * stored then. Errors of the source go through.
 */
export async function importLog(
  database: Database,
  request: ImportOptions & { loggerName: string; source: LogSource; receivedAtMs: number },
): Promise<ImportOutcome> {
  const { siteId, loggerName, source, receivedAtMs } = request;
  let content: Content;
  try {
    content = await contentOf(source, request.signal);
  } catch (error) {
    if (!(error instanceof UnreadableContainer)) throw error;
    return { kind: "refused", verdict: { refused: true, name: source.name, problem: error.refusal } };
  }
  const { sha256, prints } = content;
  return inTransaction(database, request, async (tx, site) => {
    const logger = await loggerNamed(tx, siteId, loggerName);
    await lockContent(tx, logger.loggerId, sha256);
    const [known] = await tx<{ logId: number; name: string; state: string; importedAtMs: number | null }[]>`
      select log_id as "logId", name, state, imported_at_ms as "importedAtMs" from log
      where site_id = ${siteId} and logger_id = ${logger.loggerId} and sha256 = ${sha256} and state <> 'withdrawn'`;
    if (known?.state === "imported") return { kind: "already-there", ...known };
    if (known !== undefined)
      return takeLog(database, tx, site, logger, known.logId, source, true, request, receivedAtMs, prints);
    const [{ logId }] = await tx<{ logId: number }[]>`
      insert into log (site_id, logger_id, sha256, name, size_bytes, compressed_bytes, state, received_at_ms)
      values (${siteId}, ${logger.loggerId}, ${sha256}, ${source.name}, ${source.sizeBytes ?? 0}, 0, 'received', ${receivedAtMs})
      returning log_id as "logId"`;
    return takeLog(database, tx, site, logger, logId, source, false, request, receivedAtMs, prints);
  });
}

/**
 * Imports a log that was received before (`receiveLog`), from the bytes that the database keeps of it.
 * Otherwise like `importLog`; a log that is refused stays received, with its problem.
 *
 * @throws AppError as `importLog`, and conflict where the log was withdrawn
 */
export async function importReceivedLog(
  database: Database,
  request: ImportOptions & { logId: number },
): Promise<ImportOutcome> {
  const { siteId, logId } = request;
  const outcome = await inTransaction(database, request, async (tx, site): Promise<ImportOutcome> => {
    const [log] = await tx<
      {
        name: string;
        loggerName: string;
        sizeBytes: number;
        state: string;
        receivedAtMs: number;
        importedAtMs: number | null;
      }[]
    >`
      select l.name, g.name as "loggerName", size_bytes as "sizeBytes", state, received_at_ms as "receivedAtMs",
        imported_at_ms as "importedAtMs"
      from log l join logger g using (site_id, logger_id) where site_id = ${siteId} and log_id = ${logId}`;
    if (log === undefined)
      throw new AppError("not-found", "There is no such log; it may have been discarded.");
    if (log.state === "imported") {
      return { kind: "already-there", logId, name: log.name, importedAtMs: log.importedAtMs };
    }
    if (log.state === "withdrawn") {
      throw new AppError("conflict", `"${log.name}" was withdrawn. Restore it instead of importing it.`);
    }
    const logger = await loggerNamed(tx, siteId, log.loggerName);
    const source = storedLogSource(database, siteId, { logId, name: log.name, sizeBytes: log.sizeBytes });
    return takeLog(database, tx, site, logger, logId, source, true, request, log.receivedAtMs, null);
  });
  if (outcome.kind === "refused") {
    const problem = outcome.verdict.refused ? outcome.verdict.problem : { code: "all-or-nothing" };
    await database.sql`update log set problem = ${storableJson(problem)}::text::jsonb
      where site_id = ${siteId} and log_id = ${logId} and state = 'received'`;
  }
  return outcome;
}

type OpenSite = {
  siteId: number;
  site: Site;
  otherSamples: boolean;
  /** Of the samples, when the site was read. */
  revision: number;
};

/** Thrown to roll back. */
class Refused extends Error {
  constructor(readonly verdict: LogVerdict) {
    super("refused");
  }
}

async function inTransaction(
  database: Database,
  { siteId, signal }: ImportOptions,
  work: (tx: TransactionSql, site: OpenSite) => Promise<ImportOutcome>,
): Promise<ImportOutcome> {
  let committing = false;
  try {
    return await database.sql.begin(async (tx) => {
      await lockSite(tx, siteId, signal);
      const [row] = await tx<{ config: unknown; revision: number }[]>`
        select config, samples_revision as revision from site where site_id = ${siteId}`;
      if (row === undefined)
        throw new AppError("not-found", "There is no such site; it may have been removed.");
      const [{ samples }] = await tx<{ samples: boolean }[]>`
        select exists (select 1 from logger where site_id = ${siteId} and samples > 0) as samples`;
      const outcome = await work(tx, {
        siteId,
        site: checkedSite(row.config),
        otherSamples: samples,
        revision: row.revision,
      });
      dieAt("before-commit");
      committing = true;
      return outcome;
    });
  } catch (error) {
    if (error instanceof Refused) return { kind: "refused", verdict: error.verdict };
    if (signal?.aborted) {
      throw new AppError("cancelled", "The import was cancelled: nothing of it was stored.", {
        cause: error,
      });
    }
    const known = toAppError(error);
    // The answer to the commit was lost, and what became of it with it.
    if (committing && known instanceof AppError && known.code === "server-unreachable") {
      throw new AppError(
        known.code,
        "The database server went away just as the log was being completed, and whether it is stored is not known. " +
          "Import it again: a log that is there is not taken twice.",
        { cause: error },
      );
    }
    throw known;
  }
}

async function loggerNamed(tx: TransactionSql, siteId: number, name: string): Promise<LoggerBefore> {
  return openLogger(tx, siteId, await ensureLogger(tx, siteId, name));
}

async function takeLog(
  database: Database,
  tx: TransactionSql,
  { siteId, site, otherSamples, revision }: OpenSite,
  logger: LoggerBefore,
  logId: number,
  source: LogSource,
  isKept: boolean,
  options: ImportOptions,
  receivedAtMs: number,
  prints: ContentPrints | null,
): Promise<ImportOutcome> {
  const { signal, onProgress, columnMap, guessed, replace = null } = options;
  // Where the site says which channels of a logger count, the samples are read again with those alone.
  const limited = site.loggers.some((one) => one.channels !== undefined);
  const analysis = otherSamples || limited ? NO_ANALYSIS : analyseInPassing(site);
  const store = createSampleStore(database.sql, tx, logger, logId, analysis);
  const keeper = isKept ? null : keepLog(source, store);
  const startedMs = performance.now();
  const stamps = await foldStamps(tx, logger);
  let first: FirstStamps | null = null;
  let position: ReadPosition | null = null;
  let verdict: LogVerdict;
  try {
    verdict = await readLog(
      keeper?.source ?? source,
      columnMap,
      {
        siteZone: site.timezone,
        receivedAtMs,
        nominalMs: foldNominalMs([stamps]),
        onFirstStamps: (told) => {
          first = told;
        },
        onPosition: (told) => {
          position = told;
        },
        guessed: new Set(guessed),
        signal,
        onProgress: ({ bytes, rows }) =>
          onProgress?.(progressOf(bytes, source.sizeBytes ?? 0, rows, performance.now() - startedMs)),
      },
      {
        ...store,
        end: async (faultWords) => {
          const counts = await store.end(faultWords);
          analysis.end(faultWords);
          return counts;
        },
      },
    );
    if (verdict.refused) throw new Refused(verdict);
    const standing = replace === null ? verdict.counts.conflicts : 0;
    if (options.allOrNothing && verdict.counts.rejected + standing > 0) throw new Refused(verdict);
    await keeper?.finish();
  } catch (error) {
    store.abort();
    throw error;
  }
  const span = store.span();
  await writeVerdict(tx, { siteId, logId, verdict, span, first, siteZone: site.timezone });
  if (source.range !== undefined)
    await keepGrowth(tx, siteId, logId, { fileId: source.fileId ?? null, prints, position });
  await tx`
    update log set state = 'imported', problem = null, column_map = ${storableJson(columnMap)}::text::jsonb,
      evidence = ${storableJson(options.evidence ?? null)}::text::jsonb, guessed = ${[...(guessed ?? [])]},
      replaces = ${replace !== null}, replaces_from_ms = ${replace?.fromMs ?? null},
      replaces_to_ms = ${replace?.toMs ?? null},
      size_bytes = ${keeper?.sizeBytes() ?? source.sizeBytes ?? 0},
      compressed_bytes = (select coalesce(sum(length(bytes)), 0) from log_chunk
        where site_id = ${siteId} and log_id = ${logId}),
      position = (select coalesce(max(position), 0) + 1 from log
        where site_id = ${siteId} and logger_id = ${logger.loggerId}),
      imported_at_ms = (extract(epoch from clock_timestamp()) * 1000)::bigint
    where site_id = ${siteId} and log_id = ${logId}`;
  const { loggerId } = logger;
  await keepMap(tx, { siteId, loggerId, source, map: columnMap, guessed: guessed ?? [] });
  // Where this log changes the interval by which end stamps are moved, logs that have them are read again; and where it
  // replaces a period, whatever has samples in it.
  const place = { siteId, loggerId, siteZone: site.timezone };
  const nominalMs = foldNominalMs([stamps, first === null ? [] : (first as FirstStamps).stampsMs]);
  const stands = replace === null && (await standsAsRead(tx, place, nominalMs));
  const refolded = stands
    ? null
    : await refold(database, tx, {
        ...place,
        replacing: replace === null ? undefined : logId,
        sourceOf: (one) => (one === logId ? source : null),
        signal,
        onProgress,
      });
  verdict = refolded?.verdicts.get(logId) ?? verdict;
  if (options.allOrNothing && verdict.counts.conflicts > 0) throw new Refused(verdict);
  const samplesRevision = await markImported(tx, logger, refolded === null ? span : replaced(refolded));
  const orm = transactionOrm(tx);
  // Where the site was changed meanwhile, what was computed stands on ratings that no longer hold.
  const holds = refolded === null && samplesRevision === revision + 1;
  const result = holds ? analysis.results() : null;
  const analysed = result !== null && (await writeResults(tx, siteId, samplesRevision, result));
  await enqueueRecompute(orm, siteId, { kind: analysed ? "assess" : "recompute", forRows: true });
  return { kind: "imported", logId, verdict, added: verdict.counts.taken, samplesRevision, analysed };
}

/** The stretch that a refold has changed; null where that is everything. */
function replaced({ changed }: Refolded): { firstMs: number; lastMs: number } | null {
  return changed === null ? null : { firstMs: changed.fromMs, lastMs: changed.toMs };
}

/** The log's span has changed; where its logger is now another one than before, everything has. */
async function markImported(
  tx: TransactionSql,
  before: LoggerBefore,
  span: { firstMs: number; lastMs: number } | null,
): Promise<number> {
  const { siteId, loggerId } = before;
  const [now] = await tx<Pick<LoggerBefore, "nominalMs" | "channels" | "hasSource" | "hasFault">[]>`
    select nominal_ms as "nominalMs", channels, has_source as "hasSource", has_fault as "hasFault"
    from logger where site_id = ${siteId} and logger_id = ${loggerId}`;
  const same =
    now.nominalMs === before.nominalMs &&
    now.hasSource === before.hasSource &&
    now.hasFault === before.hasFault &&
    now.channels.join() === before.channels.join();
  return same && span !== null
    ? markChanged(tx, siteId, span.firstMs, span.lastMs)
    : markChanged(tx, siteId, null, null);
}

type Analysis = Observer & {
  end(faultWords: readonly FaultWord[]): void;
  /** Null where not all of the site's samples passed in one go. */
  results(): ComputedResults | null;
};

const NO_ANALYSIS: Analysis = {
  begin() {},
  push() {},
  void() {},
  end() {},
  results: () => null,
};

/** Runs the pass over the batches as they are stored: of a first log they are the site's whole history. */
function analyseInPassing(site: Site): Analysis {
  let running: ResultsByDay | null = null;
  let results: ComputedResults | null = null;
  return {
    begin(shape: LogShape) {
      running = createResultsByDay(
        { zone: site.timezone, ratings: site.ratings, settings: site.settings, ...shape },
        null,
      );
      results = null;
    },
    push(series) {
      running?.push(series);
    },
    void() {
      running = null;
    },
    end(faultWords) {
      results = running?.finish(faultWords).results ?? null;
    },
    results: () => results,
  };
}

/** Hash of a log's bytes; and what lets a grown one be told from it, of a file of some length. */
type Content = { sha256: string; prints: ContentPrints | null };

async function contentOf(source: LogSource, signal: AbortSignal | undefined): Promise<Content> {
  const isLongFile = source.range !== undefined && (source.sizeBytes ?? 0) >= PRINT_BLOCK_BYTES;
  const printer = isLongFile ? await createContentPrinter() : null;
  const hash = createHash("sha256");
  for await (const bytes of source.open()) {
    if (signal?.aborted) {
      throw new AppError("cancelled", "The import was cancelled: nothing of it was stored.");
    }
    if (printer === null) hash.update(bytes);
    else printer.add(bytes);
  }
  const prints = printer?.prints() ?? null;
  return { sha256: prints?.sha256 ?? hash.digest("hex"), prints };
}

function progressOf(bytes: number, totalBytes: number, rows: number, elapsedMs: number): JobProgress {
  const bytesPerMs = elapsedMs > 0 ? bytes / elapsedMs : 0;
  return {
    bytes,
    totalBytes,
    rows,
    rowsPerS: elapsedMs > 0 ? (rows / elapsedMs) * 1000 : 0,
    leftS: bytesPerMs > 0 && totalBytes > 0 ? Math.max(0, totalBytes - bytes) / bytesPerMs / 1000 : null,
  };
}
