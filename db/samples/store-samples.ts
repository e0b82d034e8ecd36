import type { FaultWord, NumericChannel, Series } from "../../src/analysis/series";
import { NUMERIC_CHANNELS } from "../../src/analysis/series";
import type { LogShape, SampleBatch, SampleSink, SinkCounts } from "../../src/ingest/sample-sink";
import { dieAt } from "../die-at";
import type { Sql } from "../open-database";
import { type CopyIn, openCopyIn, type TransactionSql } from "./copy-in";
import { encodeChunk } from "./encode-chunk";
import { createMinuteEncoder, MINUTE_COLUMNS } from "./encode-minutes";
import { encodedColumns, encodeSamples, type SampleLayout } from "./encode-samples";
import { createMinuteRollup, type MinuteRollup } from "./minute-rollup";
import { NOMINAL_SAMPLES, nominalOf } from "./nominal-of";
import { makePartitions, utcMonth } from "./partitions";
import { rebuildMinutes } from "./rebuild-minutes";
import { sampleColumn } from "./sample-columns";
import { showSource } from "./show-source";

/** A logger before the import. */
export type LoggerBefore = {
  siteId: number;
  loggerId: number;
  nominalMs: number | null;
  channels: readonly NumericChannel[];
  hasSource: boolean;
  hasFault: boolean;
  firstMs: number | null;
  lastMs: number | null;
  samples: number;
  /** Whether its interval changes somewhere; true where that is not known. */
  hasSegments: boolean;
};

/** A sink into the database, and what the import adds around it. */
export type SampleStore = SampleSink & {
  /** Samples that this log added. */
  added(): number;
  /** Instants of the log's first and last sample, null where it has none. */
  span(): { firstMs: number; lastMs: number } | null;
  /** Hands over compressed bytes of the log, to be stored in order with the next piece of samples. */
  keepBytes(bytes: Buffer): void;
  /** Compressed bytes that wait to be stored. */
  waitingBytes(): number;
  /** Grows when what was kept of the log's bytes is lost, which `restart` does. */
  epoch(): number;
  /** Stores what waits: bytes and minutes. */
  flush(): Promise<void>;
  /** Forgets every byte that was kept: the log is read anew. */
  dropBytes(): Promise<void>;
  /** Breaks off a COPY under way, so that the transaction can be rolled back. */
  abort(): void;
};

/** Sees the batches that are stored without comparison; `void` says that one was not. */
export type Observer = { begin(shape: LogShape): void; push(series: Series): void; void(): void };

/** Conflicts of which the lines are told. */
const MAX_CONFLICT_LINES = 10_000;
/** Rows that go to the server as one message. */
const MESSAGE_ROWS = 4096;
/** Rows after which a COPY ends, so that the log's bytes get their turn on the connection. */
const PIECE_ROWS = 262_144;
/** Encoded minutes that may wait for the end of a piece. */
const MAX_MINUTE_BYTES = 4 << 20;
/** Compressed bytes that may wait for it. */
const MAX_KEPT_BYTES = 8 << 20;

/**
 * Stores the samples of one log inside the transaction `tx`, under the site's lock which the caller holds.
 *
 * Where the logger has no samples yet, batches go straight into `sample` by binary COPY; a batch that reaches
 * into stored samples goes into a temporary table and is compared at the end: equal values are duplicates,
 * other values conflicts, new instants are stored. Minutes are rolled up as the samples pass. Partitions are
 * made over `sql`, in transactions of their own, before the samples that need them.
 *
 * @param observe told of every batch in order, and anew after `restart`
 * @param options.samplesOnly leaves minutes and the logger's row alone: the caller sees to them
 * @param options.faults where the log has fault words already: the number before its first one, and how many it has
 */
export function createSampleStore(
  sql: Sql,
  tx: TransactionSql,
  before: LoggerBefore,
  logId: number,
  observe: Observer,
  {
    samplesOnly = false,
    faults = null,
  }: { samplesOnly?: boolean; faults?: { base: number; stored: number } | null } = {},
): SampleStore {
  const { siteId, loggerId } = before;
  let layout: SampleLayout | null = null;
  let copy: CopyIn | null = null;
  let copyRows = 0;
  let added = 0;
  let compared = false;
  let lastBatchMerged = false;
  let firstMs = Number.NaN;
  let lastMs = Number.NaN;
  /** The logger's next stored sample at or after what has come so far. */
  let nextStoredMs = Number.POSITIVE_INFINITY;
  let partitionsFromMs = Number.POSITIVE_INFINITY;
  let partitionsToMs = Number.NEGATIVE_INFINITY;
  let rollup: MinuteRollup | null = null;
  let minutes: Buffer[] = [];
  let minuteBytes = 0;
  let kept: Buffer[] = [];
  let keptBytes = 0;
  let seq = 0;
  let epoch = 0;
  let turn: Promise<unknown> = Promise.resolve();

  /** The connection takes one thing at a time; the log's bytes and its samples come independently. */
  function inTurn<T>(work: () => Promise<T>): Promise<T> {
    const next = turn.then(work, work);
    turn = next.catch(() => undefined);
    return next;
  }

  async function endPiece(): Promise<void> {
    if (copy !== null) {
      await copy.end();
      copy = null;
      copyRows = 0;
    }
    if (minutes.length > 0) {
      await copyAll(tx, `copy rollup (${MINUTE_COLUMNS}) from stdin with (format binary)`, minutes);
      minutes = [];
      minuteBytes = 0;
    }
    if (kept.length > 0) {
      const chunks = kept.map((bytes) => encodeChunk(siteId, logId, seq++, bytes));
      await copyAll(
        tx,
        "copy log_chunk (site_id, log_id, seq, bytes) from stdin with (format binary)",
        chunks,
      );
      kept = [];
      keptBytes = 0;
    }
  }

  async function storeDirect(batch: SampleBatch, given: SampleLayout): Promise<void> {
    const count = batch.timesMs.length;
    for (let from = 0; from < count; from += MESSAGE_ROWS) {
      const rows = encodeSamples(batch, from, Math.min(count, from + MESSAGE_ROWS), given);
      copy ??= await openCopyIn(tx, `copy sample (${encodedColumns(given)}) from stdin with (format binary)`);
      await copy.write(rows);
    }
    dieAt("copy");
    copyRows += count;
    added += count;
    rollup?.push(batch);
    observe.push(batch);
    if (copyRows >= PIECE_ROWS || minuteBytes > MAX_MINUTE_BYTES || keptBytes > MAX_KEPT_BYTES) {
      await endPiece();
    }
  }

  async function storeForComparison(batch: SampleBatch, given: SampleLayout): Promise<void> {
    await endPiece();
    observe.void();
    if (!compared) {
      await tx`create temporary table incoming (like sample, line integer not null) on commit drop`;
      compared = true;
    }
    const into = await openCopyIn(
      tx,
      `copy incoming (${encodedColumns(given)}, line) from stdin with (format binary)`,
    );
    copy = into;
    await into.write(encodeSamples(batch, 0, batch.timesMs.length, given, batch.lines));
    await into.end();
    copy = null;
    nextStoredMs = await nextStored(tx, siteId, loggerId, batch.timesMs[batch.timesMs.length - 1] + 1);
  }

  async function batch(given: SampleBatch): Promise<void> {
    const count = given.timesMs.length;
    if (count === 0) return;
    const from = given.timesMs[0];
    const to = given.timesMs[count - 1];
    if (from < partitionsFromMs || to >= partitionsToMs) {
      await endPiece();
      await makePartitions(sql, from, to);
      partitionsFromMs = Math.min(partitionsFromMs, utcMonth(from).fromMs);
      partitionsToMs = Math.max(partitionsToMs, utcMonth(to).toMs);
    }
    if (Number.isNaN(firstMs)) {
      firstMs = from;
      nextStoredMs = before.samples === 0 ? Infinity : await nextStored(tx, siteId, loggerId, from);
      // A hold of what stands before may reach into the minutes to come; these are built anew at the end.
      const toMs = nextStoredMs === Infinity ? null : nextStoredMs;
      if (!samplesOnly) {
        await tx`delete from rollup where site_id = ${siteId} and logger_id = ${loggerId}
          and minute_ms >= ${minuteOf(from)} and (${toMs}::bigint is null or minute_ms < ${toMs})`;
      }
    }
    lastMs = to;
    lastBatchMerged = to >= nextStoredMs;
    if (lastBatchMerged) await storeForComparison(given, layout!);
    else await storeDirect(given, layout!);
  }

  async function end(faultWords: readonly FaultWord[]): Promise<SinkCounts> {
    const given = layout!;
    // The connection takes no statement while a copy is open.
    await endPiece();
    const stored = faults?.stored ?? 0;
    await storeFaultWords(tx, before, logId, given.faultBase + stored, faultWords.slice(stored));
    const counts = compared
      ? await merge(tx, given)
      : { duplicates: 0, conflicts: 0, conflictLines: [], fresh: 0 };
    added += counts.fresh;
    if (rollup === null) return counts;
    rollup.finish(nextStoredMs === Number.POSITIVE_INFINITY ? null : nextStoredMs);
    await endPiece();
    await finishLogger(given, rollup);
    return counts;
  }

  async function finishLogger(given: SampleLayout, passed: MinuteRollup): Promise<void> {
    if (Number.isNaN(firstMs)) return;
    const channels = NUMERIC_CHANNELS.filter(
      (channel) => given.channels.includes(channel) || before.channels.includes(channel),
    );
    const hasSource = given.hasSource || before.hasSource;
    const isFirst = before.samples === 0 && !compared;
    // Behind a thousand samples that stay as they are nothing moves the nominal interval.
    const isSettled = before.samples >= NOMINAL_SAMPLES && nextStoredMs === Number.POSITIVE_INFINITY;
    let nominalMs = before.nominalMs;
    if (isFirst) nominalMs = finite(passed.intervals().nominalMs);
    else if (!isSettled) nominalMs = await nominalOf(tx, siteId, loggerId);
    if (hasSource && !before.hasSource && !isFirst) await showSource(tx, siteId, loggerId, true);
    let hasSegments = passed.intervals().segments.length > 0;
    if (!isFirst) {
      const logger = { siteId, loggerId, channels, hasSource, nominalMs: nominalMs ?? 0 };
      const edges = [
        { fromMs: firstMs, toMs: firstMs },
        ...(nextStoredMs === Infinity ? [] : [{ fromMs: lastMs, toMs: lastMs }]),
      ];
      // Where the nominal interval of the whole fold has changed, every hold before a gap has, and where it isn't the
      // same all over, holds hang on what stands far before them.
      const all = nominalMs !== before.nominalMs || before.hasSegments || hasSegments;
      const stretches = all ? [null] : compared ? [{ fromMs: firstMs, toMs: lastMs }] : edges;
      hasSegments = false;
      for (const stretch of stretches) {
        hasSegments = await rebuildMinutes(tx, logger, stretch);
        if (hasSegments) break;
      }
    }
    await tx`
      update logger set nominal_ms = ${nominalMs}, channels = ${channels},
        has_source = has_source or ${given.hasSource}, has_fault = has_fault or ${given.hasFault},
        has_segments = ${hasSegments},
        first_ms = least(first_ms, ${firstMs}::bigint), last_ms = greatest(last_ms, ${lastMs}::bigint),
        samples = samples + ${added}
      where site_id = ${siteId} and logger_id = ${loggerId}`;
  }

  return {
    begin: (shape) =>
      inTurn(async () => {
        const [{ base }] = await tx<{ base: number }[]>`
          select coalesce(max(fault), 0)::int as base from fault_word
          where site_id = ${siteId} and logger_id = ${loggerId}`;
        layout = { siteId, loggerId, ...shape, faultBase: faults?.base ?? base };
        observe.begin(shape);
        await tx`savepoint log_samples`;
        if (samplesOnly) return;
        const encode = createMinuteEncoder(
          siteId,
          loggerId,
          shape.channels,
          shape.hasSource || before.hasSource,
        );
        const known =
          before.nominalMs === null ? null : { nominalMs: before.nominalMs, segmentMs: before.nominalMs };
        rollup = createMinuteRollup(
          shape.channels,
          (minute) => {
            // These are built anew at the end, from what is stored then.
            if (compared || minute.minuteMs >= nextStoredMs) return;
            const row = encode(minute);
            minutes.push(row);
            minuteBytes += row.length;
          },
          known,
        );
      }),
    batch: (given) => inTurn(() => batch(given)),
    restart: () =>
      inTurn(async () => {
        await copy?.end();
        copy = null;
        await tx`rollback to savepoint log_samples`;
        copyRows = 0;
        added = 0;
        compared = false;
        firstMs = Number.NaN;
        lastMs = Number.NaN;
        minutes = [];
        minuteBytes = 0;
        kept = [];
        keptBytes = 0;
        seq = 0;
        epoch++;
      }),
    end: (faultWords) => inTurn(() => end(faultWords)),
    added: () => added,
    span: () => (Number.isNaN(firstMs) ? null : { firstMs, lastMs }),
    keepBytes(bytes) {
      kept.push(bytes);
      keptBytes += bytes.length;
    },
    waitingBytes: () => keptBytes,
    epoch: () => epoch,
    flush: () => inTurn(endPiece),
    dropBytes: () =>
      inTurn(async () => {
        kept = [];
        keptBytes = 0;
        await endPiece();
        if (seq > 0) await tx`delete from log_chunk where site_id = ${siteId} and log_id = ${logId}`;
        seq = 0;
      }),
    abort: () => copy?.abort(),
  };
}

async function copyAll(tx: TransactionSql, statement: string, rows: readonly Buffer[]): Promise<void> {
  const into = await openCopyIn(tx, statement);
  try {
    for (const row of rows) await into.write(row);
    await into.end();
  } catch (error) {
    into.abort();
    throw error;
  }
}

function minuteOf(atMs: number): number {
  return Math.floor(atMs / 60_000) * 60_000;
}

function finite(value: number): number | null {
  return Number.isNaN(value) ? null : value;
}

async function nextStored(
  tx: TransactionSql,
  siteId: number,
  loggerId: number,
  fromMs: number,
): Promise<number> {
  const [next] = await tx<{ atMs: number }[]>`
    select at_ms as "atMs" from sample
    where site_id = ${siteId} and logger_id = ${loggerId} and at_ms >= ${fromMs}
    order by at_ms limit 1`;
  return next?.atMs ?? Number.POSITIVE_INFINITY;
}

async function storeFaultWords(
  tx: TransactionSql,
  { siteId, loggerId }: LoggerBefore,
  logId: number,
  base: number,
  words: readonly FaultWord[],
): Promise<void> {
  if (words.length === 0) return;
  const rows = words.map(({ code, meaning }, index) => ({
    site_id: siteId,
    logger_id: loggerId,
    fault: base + index + 1,
    log_id: logId,
    code: code.replaceAll("\0", "\u{fffd}"),
    meaning,
  }));
  for (let from = 0; from < rows.length; from += 1000) {
    await tx`insert into fault_word ${tx(rows.slice(from, from + 1000))}`;
  }
}

/** Compares what stands in `incoming` with what is stored, and stores the instants that are new. */
async function merge(tx: TransactionSql, layout: SampleLayout): Promise<SinkCounts & { fresh: number }> {
  const columns = encodedColumns(layout);
  const compared = [
    ...layout.channels.map(
      (channel) => `s.${sampleColumn(channel)} is not distinct from i.${sampleColumn(channel)}`,
    ),
    // Where the log that stands had no source, it was unknown, which is 0.
    ...(layout.hasSource ? ["coalesce(s.source, 0) = i.source"] : []),
    // Fault numbers are each log's own; what counts is the code.
    ...(layout.hasFault ? ["stored_word.code is not distinct from given_word.code"] : []),
  ];
  await tx`analyze incoming`;
  await tx.unsafe(`
    create temporary table compared on commit drop as
    select i.line, i.at_ms, s.at_ms is null as fresh, ${compared.join(" and ") || "true"} as equal
    from incoming i
    left join sample s on s.site_id = ${layout.siteId} and s.logger_id = ${layout.loggerId} and s.at_ms = i.at_ms
    ${
      layout.hasFault
        ? `left join fault_word stored_word on stored_word.site_id = s.site_id
             and stored_word.logger_id = s.logger_id and stored_word.fault = s.fault
           left join fault_word given_word on given_word.site_id = i.site_id
             and given_word.logger_id = i.logger_id and given_word.fault = i.fault`
        : ""
    }`);
  const [counts] = await tx<{ fresh: number; duplicates: number; conflicts: number }[]>`
    select count(*) filter (where fresh)::int as fresh, count(*) filter (where not fresh and equal)::int as duplicates,
      count(*) filter (where not fresh and not equal)::int as conflicts from compared`;
  const lines = await tx<{ line: number }[]>`
    select line from compared where not fresh and not equal order by line limit ${MAX_CONFLICT_LINES}`;
  await tx.unsafe(`
    insert into sample (${columns})
    select ${columns
      .split(", ")
      .map((column) => `i.${column}`)
      .join(", ")} from incoming i join compared c on c.at_ms = i.at_ms where c.fresh`);
  await tx`drop table incoming, compared`;
  return { ...counts, conflictLines: lines.map((row) => row.line) };
}
