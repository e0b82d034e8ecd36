import { NUMERIC_CHANNELS, type NumericChannel } from "../../src/analysis/series";
import { foldNominalMs } from "../../src/ingest/fold-nominal";
import type { LogSource } from "../../src/ingest/log-source";
import type { LogVerdict } from "../../src/ingest/log-verdict";
import { type FirstStamps, readLog } from "../../src/ingest/read-log";
import type { ReadPosition } from "../../src/ingest/read-position";
import type { LogShape, SampleSink } from "../../src/ingest/sample-sink";
import type { ColumnMap } from "../../src/site/column-map";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import { storedLogSource } from "../queries/stored-log-source";
import type { TransactionSql } from "../samples/copy-in";
import { NOMINAL_SAMPLES, nominalOf } from "../samples/nominal-of";
import { rebuildMinutes } from "../samples/rebuild-minutes";
import { showSource } from "../samples/show-source";
import { createSampleStore, type LoggerBefore, type Observer } from "../samples/store-samples";
import type { JobProgress } from "../schema/job";
import { keepPosition } from "./keep-growth";
import { openLogger } from "./open-logger";
import { hullOf, type Replacement, replacedPeriod } from "./replaced-period";
import { writeVerdict } from "./write-verdict";

type TakenVerdict = Extract<LogVerdict, { refused: false }>;

/** Instants of the first and last sample of a stretch. */
export type Span = { fromMs: number; toMs: number };

/** What has become different about a logger's logs; their rows say so already. */
export type RefoldRequest = {
  siteId: number;
  loggerId: number;
  /** The site's present zone. */
  siteZone: string;
  /** A log that has left the fold, and where its samples stood. */
  withdrawn?: { logId: number; span: Span | null };
  /** A log that comes in again as it was. */
  restored?: number;
  /** Logs that are read with another map. */
  remapped?: readonly number[];
  /** A log whose period of replacement has become another one. */
  replacing?: number;
  /** True where the site's zone was changed: then logs of which the zone isn't known are read again, too. */
  rezoned?: boolean;
  /** True where nothing of the logger stands yet: every log is read. */
  rebuilt?: boolean;
  /** The bytes of a log, where they can't be read from what is stored: it came in this transaction. */
  sourceOf?: (logId: number) => LogSource | null;
  signal?: AbortSignal;
  onProgress?: (progress: JobProgress) => void;
};

/** What a refold came to. */
export type Refolded = {
  /** The logs that were read, in order, and what became of each. */
  verdicts: ReadonlyMap<number, TakenVerdict>;
  /** From the first to the last sample that can have changed; null where everything has. */
  changed: Span | null;
};

/** A log of the fold that can't be read, or not with that map: thrown, so that the transaction is rolled back. */
export class UnreadableLog extends AppError {
  constructor(
    readonly logId: number,
    readonly verdict: Extract<LogVerdict, { refused: true }>,
  ) {
    const { name, problem } = verdict;
    super(
      "conflict",
      `Nothing was changed: "${name}" has to be read again for it, and can't be any more. ${problem.what} ${problem.hint}`,
    );
  }
}

/**
 * Brings a logger's samples to the fold of its active logs in order, inside the caller's transaction and under the
 * site's lock, which the caller holds.
 *
 * What is read again, from the stored bytes and in order of position: the logs that the request names, those whose
 * times were moved by another nominal interval or read in another zone than they have to be now (definitions D1), and
 * whatever overlaps these in time, and so on. A log that replaces a period overlaps what stands in that period, too, and
 * takes out of it what the logs before it have there. The samples of those stretches are made anew, and so are the verdict, the
 * rejects and the span of each log that is read; the others are left alone. Afterwards all of it, the logger's row and
 * its minutes too, is as if the active logs had just been imported in their order.
 *
 * @returns null where nothing had to be done
 * @throws UnreadableLog, the signal's reason, what the driver says: the transaction is to be rolled back then
 */
export async function refold(
  database: Database,
  tx: TransactionSql,
  request: RefoldRequest,
): Promise<Refolded | null> {
  const { siteId, loggerId, withdrawn } = request;
  const before = await openLogger(tx, siteId, loggerId);
  const plan = await planOf(database, tx, request);
  if (plan.read.length === 0 && plan.stretches.length === 0 && withdrawn === undefined) return null;

  const left = before.samples - (await clear(tx, request, plan));
  dieAt("refold");
  const { verdicts, added } = await readAgain(database, tx, request, plan, { ...before, samples: left });
  const isSame = await writeLogger(tx, before, left + added, plan.changed);
  const first = plan.changed.at(0);
  const last = plan.changed.at(-1);
  const changed =
    isSame && !plan.shifted && first !== undefined && last !== undefined
      ? { fromMs: first.fromMs, toMs: last.toMs }
      : null;
  return { verdicts, changed };
}

type ActiveLog = {
  logId: number;
  name: string;
  sizeBytes: number;
  map: ColumnMap;
  guessed: string[] | null;
  receivedAtMs: number;
  firstMs: number | null;
  lastMs: number | null;
  shiftMs: number | null;
  siteZone: string | null;
  stamps: number[] | null;
} & Replacement;

type Plan = {
  /** Logs to read, in order of position. */
  read: readonly ActiveLog[];
  /** Stretches of which the samples are taken out and come anew: ascending, apart from one another. */
  stretches: readonly Span[];
  /** Stretches in which samples can become others: those of the logs that come, go or are read otherwise. */
  changed: readonly Span[];
  /** Periods in which a log replaces those before it. */
  periods: ReadonlyMap<number, Span>;
  /** Of the stamps of all active logs. */
  nominalMs: number | null;
  /** Whether a log's times are moved otherwise than they were. */
  shifted: boolean;
};

async function planOf(database: Database, tx: TransactionSql, request: RefoldRequest): Promise<Plan> {
  const { restored, remapped = [], replacing, withdrawn, rebuilt = false } = request;
  const logs = await activeLogs(tx, request);
  const written = new Map<number, { span: Span | null; stamps: ArrayLike<number> }>();
  for (const log of logs) {
    const isUnknown =
      remapped.includes(log.logId) ||
      isOfOtherZone(log, request) ||
      // Imported before stamps were kept; those of a log that stamps the start stand in the fold as they are.
      (log.stamps === null && (stampsEnd(log) || log.logId === restored || rebuilt));
    written.set(
      log.logId,
      isUnknown
        ? await scan(database, log, request)
        : { span: spanOf(log, log.shiftMs ?? 0), stamps: log.stamps ?? (await stampsOf(tx, request, log)) },
    );
  }
  const nominalMs = foldNominalMs([...written.values()].map(({ stamps }) => stamps));
  const endShiftMs = Math.round(nominalMs ?? 0);

  const places: Place[] = [];
  const periods = new Map<number, Span>();
  if (withdrawn?.span) places.push({ ...withdrawn.span, logId: withdrawn.logId, isChanged: true });
  let shifted = false;
  for (const log of logs) {
    const { logId } = log;
    const shiftMs = stampsEnd(log) ? endShiftMs : 0;
    const isShifted = stampsEnd(log) && log.shiftMs !== shiftMs;
    const isNamed = logId === restored || remapped.includes(logId) || logId === replacing || rebuilt;
    const isChanged = isShifted || isNamed || isOfOtherZone(log, request);
    shifted ||= isShifted && !isNamed;
    const standing = moved(written.get(logId)!.span, -shiftMs);
    const period = replacedPeriod(log, standing);
    if (period !== null) periods.set(logId, period);
    const now = hullOf(log, spanOf(log, 0));
    const next = hullOf(log, standing);
    if (now !== null) places.push({ ...now, logId, isChanged });
    if (next !== null && isChanged) places.push({ ...next, logId, isChanged });
  }
  const anew = stretchesOf(places).filter(({ places: within }) => within.some(({ isChanged }) => isChanged));
  const logIds = new Set(anew.flatMap(({ places: within }) => within.map(({ logId }) => logId)));
  return {
    read: logs.filter(({ logId }) => logIds.has(logId)),
    stretches: anew,
    changed: stretchesOf(places.filter(({ isChanged }) => isChanged)),
    periods,
    nominalMs,
    shifted,
  };
}

async function activeLogs(tx: TransactionSql, { siteId, loggerId }: RefoldRequest): Promise<ActiveLog[]> {
  return tx<ActiveLog[]>`
    select log_id as "logId", name, size_bytes as "sizeBytes", column_map as map, guessed,
      received_at_ms as "receivedAtMs", first_ms as "firstMs", last_ms as "lastMs", shift_ms as "shiftMs",
      site_zone as "siteZone", first_stamps_ms as stamps, replaces, replaces_from_ms as "replacesFromMs",
      replaces_to_ms as "replacesToMs"
    from log where site_id = ${siteId} and logger_id = ${loggerId} and state = 'imported' order by position`;
}

function stampsEnd({ map }: ActiveLog): boolean {
  return map.time.stamps === "end";
}

function isOfOtherZone({ map, siteZone }: ActiveLog, request: RefoldRequest): boolean {
  if (map.time.zone !== "site" || siteZone === request.siteZone) return false;
  return siteZone !== null || request.rezoned === true;
}

function spanOf({ firstMs, lastMs }: ActiveLog, byMs: number): Span | null {
  return firstMs === null || lastMs === null ? null : { fromMs: firstMs + byMs, toMs: lastMs + byMs };
}

function moved(span: Span | null, byMs: number): Span | null {
  return span === null ? null : { fromMs: span.fromMs + byMs, toMs: span.toMs + byMs };
}

/** The first stamps of a log that stamps the start and was imported before they were kept. */
async function stampsOf(
  tx: TransactionSql,
  { siteId, loggerId }: RefoldRequest,
  { firstMs, lastMs }: ActiveLog,
): Promise<number[]> {
  const rows = await tx<{ atMs: number }[]>`
    select at_ms as "atMs" from sample where site_id = ${siteId} and logger_id = ${loggerId}
      and at_ms between ${firstMs} and ${lastMs} order by at_ms limit (select ${NOMINAL_SAMPLES}::int)`;
  return rows.map(({ atMs }) => atMs);
}

/** Reads a log for its times as they are written, and nothing else. */
async function scan(
  database: Database,
  log: ActiveLog,
  request: RefoldRequest,
): Promise<{ span: Span | null; stamps: ArrayLike<number> }> {
  let first: FirstStamps | null = null as FirstStamps | null;
  const sink: SampleSink = {
    async begin() {},
    async batch() {},
    async restart() {},
    end: async () => ({ duplicates: 0, conflicts: 0, conflictLines: [] }),
  };
  const verdict = await readLog(
    sourceOf(database, log, request),
    log.map,
    {
      siteZone: request.siteZone,
      receivedAtMs: log.receivedAtMs,
      nominalMs: 0,
      onFirstStamps: (told) => {
        first = told;
      },
      signal: request.signal,
    },
    sink,
  );
  if (verdict.refused) throw new UnreadableLog(log.logId, verdict);
  const { firstMs, lastMs } = verdict;
  return {
    span: firstMs === null || lastMs === null ? null : { fromMs: firstMs, toMs: lastMs },
    stamps: first?.stampsMs ?? [],
  };
}

function sourceOf(database: Database, log: ActiveLog, request: RefoldRequest): LogSource {
  return request.sourceOf?.(log.logId) ?? storedLogSource(database, request.siteId, log);
}

/** Where a log's samples stand or come to stand. */
type Place = Span & { logId: number; isChanged: boolean };

/** Joins what overlaps to stretches, ascending. */
function stretchesOf(places: readonly Place[]): (Span & { places: Place[] })[] {
  const stretches: (Span & { places: Place[] })[] = [];
  for (const place of [...places].sort((a, b) => a.fromMs - b.fromMs)) {
    const last = stretches.at(-1);
    if (last !== undefined && place.fromMs <= last.toMs) {
      last.toMs = Math.max(last.toMs, place.toMs);
      last.places.push(place);
    } else stretches.push({ fromMs: place.fromMs, toMs: place.toMs, places: [place] });
  }
  return stretches;
}

/** Takes the samples out of the stretches, and the fault words of the logs in them. Returns how many samples. */
async function clear(
  tx: TransactionSql,
  { siteId, loggerId, withdrawn }: RefoldRequest,
  { read, stretches }: Plan,
): Promise<number> {
  let cleared = 0;
  for (const stretch of stretches) cleared += await takeOut(tx, { siteId, loggerId }, stretch);
  const logIds = read.map(({ logId }) => logId);
  if (withdrawn !== undefined) logIds.push(withdrawn.logId);
  await tx`
    delete from fault_word
    where site_id = ${siteId} and logger_id = ${loggerId} and log_id = any(${logIds}::int[])`;
  return cleared;
}

/** Deletes the logger's samples of a stretch. Returns how many there were. */
async function takeOut(
  tx: TransactionSql,
  { siteId, loggerId }: { siteId: number; loggerId: number },
  { fromMs, toMs }: Span,
): Promise<number> {
  const { count } = await tx`
    delete from sample
    where site_id = ${siteId} and logger_id = ${loggerId} and at_ms between ${fromMs} and ${toMs}`;
  return count;
}

const NOBODY: Observer = { begin() {}, push() {}, void() {} };

async function readAgain(
  database: Database,
  tx: TransactionSql,
  request: RefoldRequest,
  { read, periods, nominalMs }: Plan,
  before: LoggerBefore,
): Promise<{ verdicts: Map<number, TakenVerdict>; added: number }> {
  const { siteId, siteZone, signal } = request;
  const verdicts = new Map<number, TakenVerdict>();
  const progress = createProgress(request, read);
  let added = 0;
  for (const log of read) {
    const { logId } = log;
    const period = periods.get(logId);
    if (period !== undefined) added -= await takeOut(tx, before, period);
    const logger = { ...before, samples: before.samples + added };
    const store = createSampleStore(database.sql, tx, logger, logId, NOBODY, { samplesOnly: true });
    let first: FirstStamps | null = null;
    let position: ReadPosition | null = null;
    let verdict: LogVerdict;
    try {
      verdict = await readLog(
        sourceOf(database, log, request),
        log.map,
        {
          siteZone,
          receivedAtMs: log.receivedAtMs,
          nominalMs: nominalMs ?? 0,
          guessed: new Set(log.guessed),
          onFirstStamps: (told) => {
            first = told;
          },
          onPosition: (told) => {
            position = told;
          },
          signal,
          onProgress: ({ bytes, rows }) => progress.show(bytes, rows),
        },
        store,
      );
      if (verdict.refused) throw new UnreadableLog(logId, verdict);
    } catch (error) {
      store.abort();
      throw error;
    }
    await writeVerdict(tx, { siteId, logId, verdict, span: store.span(), first, siteZone });
    await keepPosition(tx, siteId, logId, position);
    verdicts.set(logId, verdict);
    added += store.added();
    progress.done(log, verdict.counts.records);
  }
  return { verdicts, added };
}

function createProgress({ onProgress }: RefoldRequest, logs: readonly ActiveLog[]) {
  const totalBytes = logs.reduce((sum, log) => sum + log.sizeBytes, 0);
  const startedMs = performance.now();
  let bytesBefore = 0;
  let rowsBefore = 0;
  return {
    show(bytesOfLog: number, rowsOfLog: number) {
      const elapsedMs = performance.now() - startedMs;
      const bytes = bytesBefore + bytesOfLog;
      const rows = rowsBefore + rowsOfLog;
      onProgress?.({
        bytes,
        totalBytes,
        rows,
        rowsPerS: elapsedMs > 0 ? (rows / elapsedMs) * 1000 : 0,
        leftS: bytes > 0 ? (Math.max(0, totalBytes - bytes) / bytes) * (elapsedMs / 1000) : null,
      });
    },
    done({ sizeBytes }: ActiveLog, rowsOfLog: number) {
      bytesBefore += sizeBytes;
      rowsBefore += rowsOfLog;
    },
  };
}

/** Writes the logger as its active logs make it, with its minutes. Returns whether it is the same as before. */
async function writeLogger(
  tx: TransactionSql,
  before: LoggerBefore,
  samples: number,
  changed: readonly Span[],
): Promise<boolean> {
  const { siteId, loggerId } = before;
  const rows = await tx<{ shape: LogShape }[]>`
    select verdict -> 'shape' as shape from log
    where site_id = ${siteId} and logger_id = ${loggerId} and state = 'imported'`;
  const has = new Set<NumericChannel>(rows.flatMap(({ shape }) => shape.channels));
  const channels = NUMERIC_CHANNELS.filter((channel) => has.has(channel));
  const hasSource = rows.some(({ shape }) => shape.hasSource);
  const hasFault = rows.some(({ shape }) => shape.hasFault);
  const nominalMs = await nominalOf(tx, siteId, loggerId);

  if (hasSource !== before.hasSource) await showSource(tx, siteId, loggerId, hasSource);
  const logger = { siteId, loggerId, channels, hasSource, nominalMs: nominalMs ?? 0 };
  let hasSegments = false;
  for (const stretch of nominalMs !== before.nominalMs || before.hasSegments ? [null] : changed) {
    hasSegments = await rebuildMinutes(tx, logger, stretch);
    if (hasSegments) break;
  }
  await tx`
    update logger set nominal_ms = ${nominalMs}, channels = ${channels}, has_source = ${hasSource},
      has_fault = ${hasFault}, has_segments = ${hasSegments}, samples = ${samples},
      first_ms = (select min(at_ms) from sample where site_id = ${siteId} and logger_id = ${loggerId}),
      last_ms = (select max(at_ms) from sample where site_id = ${siteId} and logger_id = ${loggerId})
    where site_id = ${siteId} and logger_id = ${loggerId}`;
  return (
    nominalMs === before.nominalMs &&
    hasSource === before.hasSource &&
    hasFault === before.hasFault &&
    channels.join() === before.channels.join()
  );
}
