import { once } from "node:events";
import { PassThrough } from "node:stream";
import { type NumericChannel, type Series, SOURCES } from "../../src/analysis/series";
import type { LogVerdict } from "../../src/ingest/log-verdict";
import { readLog } from "../../src/ingest/read-log";
import type { SampleBatch, SampleSink } from "../../src/ingest/sample-sink";
import type { ColumnMap } from "../../src/site/column-map";
import type { Database } from "../open-database";
import { readSamples } from "../samples/read-samples";
import { type SampledLogger, sampledLoggers } from "../samples/sampled-loggers";
import { type Replacement, replacedPeriod } from "../writes/replaced-period";
import { storedLogSource } from "./stored-log-source";

/** A value in a row of a conflict: a figure in base units, a source or a fault code; null where there is none. */
export type ConflictValue = number | string | null;

/** A row of a log at an instant for which the site has another sample, which stands. */
export type ConflictRow = {
  /** Physical line in the log, from 1. */
  line: number;
  atMs: number;
  /** By channel, in the order of `channels`. */
  stands: ConflictValue[];
  came: ConflictValue[];
  /** The log that what stands comes from. */
  fromLog: string;
};

/** Every conflict of a log, however many: what is compared, and the rows in pieces, in the order of time. */
export type Conflicts = {
  channels: (NumericChannel | "source" | "faultCode")[];
  rows: AsyncGenerator<ConflictRow[]>;
};

/**
 * The conflicts of an imported log, made anew from its bytes against the samples that stand now. Nothing of it is
 * stored but the log itself, so that there is no end to how many they may be; in memory are eight bytes a conflict.
 *
 * @returns null where there is no such log, or it isn't in the fold
 */
export async function conflictsOf(
  database: Database,
  siteId: number,
  logId: number,
): Promise<Conflicts | null> {
  const [own] = await database.sql<{ loggerId: number; name: string }[]>`
    select logger_id as "loggerId", logger.name from log join logger using (site_id, logger_id)
    where site_id = ${siteId} and log_id = ${logId} and state = 'imported'`;
  if (own === undefined) return null;
  const logs = await activeLogs(database, siteId, own.loggerId);
  const log = logs.find((one) => one.logId === logId);
  const { stored, site } = await sampledLoggers(database.sql, siteId);
  const logger = stored.find((one) => one.loggerId === own.loggerId);
  if (log === undefined || logger === undefined) return null;
  const fold: Fold = { database, siteId, logger, logs, zone: site?.timezone ?? "UTC" };
  const words = await database.sql<{ code: string }[]>`
    select code from fault_word where site_id = ${siteId} and logger_id = ${own.loggerId} and log_id = ${logId}
    order by fault`;
  const codes = words.map(({ code }) => code);
  const { shape } = log.verdict;
  const channels: Conflicts["channels"] = [...shape.channels];
  if (shape.hasSource) channels.push("source");
  if (shape.hasFault) channels.push("faultCode");
  return { channels, rows: rowsOf(fold, log, codes) };
}

type Taken = Extract<LogVerdict, { refused: false }>;

type FoldedLog = {
  logId: number;
  name: string;
  sizeBytes: number;
  map: ColumnMap;
  receivedAtMs: number;
  firstMs: number;
  lastMs: number;
  shiftMs: number | null;
  siteZone: string | null;
  verdict: Taken;
} & Replacement;

type Fold = {
  database: Database;
  siteId: number;
  logger: SampledLogger;
  /** In the order of the fold. */
  logs: readonly FoldedLog[];
  zone: string;
};

async function activeLogs(database: Database, siteId: number, loggerId: number): Promise<FoldedLog[]> {
  return database.sql<FoldedLog[]>`
    select log_id as "logId", name, size_bytes as "sizeBytes", column_map as map, received_at_ms as "receivedAtMs",
      first_ms as "firstMs", last_ms as "lastMs", shift_ms as "shiftMs", site_zone as "siteZone", verdict, replaces,
      replaces_from_ms as "replacesFromMs", replaces_to_ms as "replacesToMs"
    from log
    where site_id = ${siteId} and logger_id = ${loggerId} and state = 'imported' and first_ms is not null
    order by position`;
}

async function* rowsOf(fold: Fold, log: FoldedLog, codes: readonly string[]): AsyncGenerator<ConflictRow[]> {
  const instants: number[] = [];
  for await (const rows of compared(fold, log, codes)) for (const { atMs } of rows) instants.push(atMs);
  const at = Float64Array.from(new Set(instants)).sort();
  const owners = await ownersOf(fold, at);
  for await (const rows of compared(fold, log, codes)) {
    yield rows.map((row) => ({ ...row, fromLog: fold.logs[owners[placeOf(at, row.atMs)]]?.name ?? "" }));
  }
}

type UnownedRow = Omit<ConflictRow, "fromLog">;

/** Reads the log once more and holds its rows against what stands. */
async function* compared(fold: Fold, log: FoldedLog, codes: readonly string[]): AsyncGenerator<UnownedRow[]> {
  const through = new PassThrough({ objectMode: true, highWaterMark: 2 });
  const stop = new AbortController();
  const { shape } = log.verdict;
  let pending: UnownedRow[] = [];
  const take = async (batch: SampleBatch | null): Promise<void> => {
    const lastMs = batch === null ? Number.POSITIVE_INFINITY : batch.timesMs[batch.timesMs.length - 1];
    const due = pending.filter(({ atMs }) => atMs <= lastMs);
    pending = pending.filter(({ atMs }) => atMs > lastMs);
    const rows = await conflictsIn(fold, log, batch, due, codes);
    if (rows.length > 0 && !through.write(rows)) await once(through, "drain", { signal: stop.signal });
  };
  // A row that says another thing than an earlier one of the same log isn't handed over: it is told apart.
  const onConflict = (columns: Parameters<NonNullable<ReadOptions["onConflict"]>>[0], at: number) =>
    pending.push({
      line: columns.lines[at],
      atMs: columns.timesMs[at] - (log.shiftMs ?? 0),
      stands: [],
      came: [
        ...columns.values.map((values) => figure(values[at])),
        ...(shape.hasSource ? [SOURCES[columns.sources[at]]] : []),
        ...(shape.hasFault ? [codeOf(codes, columns.faults[at])] : []),
      ],
    });
  const restart = () => {
    pending = [];
  };
  const reading = readThrough(fold, log, take, { onConflict, signal: stop.signal }, restart)
    .then(() => take(null))
    .then(
      () => through.end(),
      (error) => through.destroy(error as Error),
    );
  try {
    for await (const rows of through) yield rows as UnownedRow[];
  } finally {
    stop.abort();
    through.destroy();
    await reading.catch(() => undefined);
  }
}

type ReadOptions = Parameters<typeof readLog>[2];

/** Reads a stored log as it was read into the fold. */
async function readThrough(
  { database, siteId, zone }: Fold,
  log: FoldedLog,
  take: (batch: SampleBatch) => Promise<void>,
  options: Pick<ReadOptions, "onConflict" | "signal">,
  onRestart: () => void,
): Promise<void> {
  // What is handed over before a log turns out not to be in order comes again.
  let counts = !log.verdict.notes.some(({ code }) => code === "series.sorted");
  const sink: SampleSink = {
    async begin() {},
    batch: async (batch) => {
      if (counts) await take(batch);
    },
    restart: async () => {
      counts = true;
      onRestart();
    },
    end: async () => ({ duplicates: 0, conflicts: 0, conflictLines: [] }),
  };
  await readLog(
    storedLogSource(database, siteId, log),
    log.map,
    {
      siteZone: log.siteZone ?? zone,
      receivedAtMs: log.receivedAtMs,
      nominalMs: log.shiftMs ?? 0,
      ...options,
    },
    sink,
  );
}

/** Rows of a batch, and such as the log itself has twice, that say another thing than what stands. */
async function conflictsIn(
  { database, siteId, logger }: Fold,
  log: FoldedLog,
  batch: SampleBatch | null,
  due: readonly UnownedRow[],
  codes: readonly string[],
): Promise<UnownedRow[]> {
  const times = [
    ...(batch === null ? [] : [batch.timesMs[0], batch.timesMs[batch.timesMs.length - 1]]),
    ...due.map(({ atMs }) => atMs),
  ];
  if (times.length === 0) return [];
  const { shape } = log.verdict;
  const own = [...due].sort((a, b) => a.atMs - b.atMs);
  const rows: UnownedRow[] = [];
  let i = 0;
  let d = 0;
  // No spread: of a log that says everything twice they are many.
  const fromMs = times.reduce((a, b) => Math.min(a, b));
  const toMs = times.reduce((a, b) => Math.max(a, b)) + 1;
  for await (const standing of readSamples(database.sql, { siteId, logger, fromMs, toMs })) {
    for (let s = 0; s < standing.timesMs.length; s++) {
      const atMs = standing.timesMs[s];
      while (batch !== null && i < batch.timesMs.length && batch.timesMs[i] < atMs) i++;
      if (
        batch !== null &&
        batch.timesMs[i] === atMs &&
        differs(standing, s, batch, i, logger, codes, shape)
      ) {
        rows.push({
          line: batch.lines[i],
          atMs,
          stands: valuesAt(standing, s, shape, (fault) => codeAt(logger, fault)),
          came: valuesAt(batch, i, shape, (fault) => codeOf(codes, fault)),
        });
      }
      while (d < own.length && own[d].atMs < atMs) d++;
      for (; d < own.length && own[d].atMs === atMs; d++) {
        rows.push({ ...own[d], stands: valuesAt(standing, s, shape, (fault) => codeAt(logger, fault)) });
      }
    }
  }
  return rows;
}

type Shape = Taken["shape"];

/** As `store-samples` compares them: in what the log has, faults by their code. */
function differs(
  standing: Series,
  s: number,
  batch: SampleBatch,
  i: number,
  logger: SampledLogger,
  codes: readonly string[],
  { channels, hasSource, hasFault }: Shape,
): boolean {
  for (const channel of channels) {
    const a = standing.channels[channel]?.[s] ?? Number.NaN;
    const b = batch.channels[channel]?.[i] ?? Number.NaN;
    if (a !== b && !(Number.isNaN(a) && Number.isNaN(b))) return true;
  }
  if (hasSource && (standing.sources?.[s] ?? 0) !== (batch.sources?.[i] ?? 0)) return true;
  return hasFault && codeAt(logger, standing.faults?.[s] ?? 0) !== codeOf(codes, batch.faults?.[i] ?? 0);
}

function valuesAt(
  series: Series,
  at: number,
  { channels, hasSource, hasFault }: Shape,
  code: (fault: number) => string | null,
): ConflictValue[] {
  return [
    ...channels.map((channel) => figure(series.channels[channel]?.[at] ?? Number.NaN)),
    ...(hasSource ? [SOURCES[series.sources?.[at] ?? 0]] : []),
    ...(hasFault ? [code(series.faults?.[at] ?? 0)] : []),
  ];
}

function figure(value: number): number | null {
  return Number.isNaN(value) ? null : value;
}

function codeAt({ faultWords }: SampledLogger, fault: number): string | null {
  return fault === 0 ? null : (faultWords[fault - 1]?.code ?? null);
}

function codeOf(codes: readonly string[], fault: number): string | null {
  return fault === 0 ? null : (codes[fault - 1] ?? null);
}

/**
 * Of which log the sample at each of these instants is, as its place in the fold; -1 for none. Where only one log
 * reaches over an instant it is that one; the others are read, in the order of the fold, as far as they are needed.
 *
 * @param at ascending, each once
 */
async function ownersOf(fold: Fold, at: Float64Array): Promise<Int32Array> {
  const owners = new Int32Array(at.length).fill(-1);
  const reached = new Uint16Array(at.length);
  const spans = fold.logs.map(({ firstMs, lastMs }) => ({
    from: lowerBound(at, firstMs),
    to: lowerBound(at, lastMs + 1),
  }));
  for (const { from, to } of spans) for (let i = from; i < to; i++) reached[i]++;
  for (const [index, log] of fold.logs.entries()) {
    const { from, to } = spans[index];
    const period = replacedPeriod(log, { fromMs: log.firstMs, toMs: log.lastMs });
    if (period !== null) owners.fill(-1, lowerBound(at, period.fromMs), lowerBound(at, period.toMs + 1));
    let isOpen = false;
    for (let i = from; i < to; i++) {
      if (owners[i] >= 0) continue;
      if (reached[i] === 1) owners[i] = index;
      else isOpen = true;
    }
    if (!isOpen) continue;
    let i = from;
    const take = async ({ timesMs }: SampleBatch) => {
      for (const atMs of timesMs) {
        while (i < to && at[i] < atMs) i++;
        if (i < to && at[i] === atMs && owners[i] < 0) owners[i] = index;
      }
    };
    await readThrough(fold, log, take, {}, () => undefined);
  }
  return owners;
}

function lowerBound(at: Float64Array, wanted: number): number {
  let low = 0;
  let high = at.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (at[middle] < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}

function placeOf(at: Float64Array, atMs: number): number {
  const place = lowerBound(at, atMs);
  return at[place] === atMs ? place : -1;
}
