import { createHash } from "node:crypto";
import { deserialize, serialize } from "node:v8";
import { getTableColumns, getTableName } from "drizzle-orm";
import type { PgTable } from "drizzle-orm/pg-core";
import {
  concludeEvents,
  concludeHistory,
  type DayBalance,
  type DayGist,
  type DaysTotal,
} from "../../src/analysis/conclude-review";
import { createDeriveCounts, type DeriveCounts } from "../../src/analysis/derive-columns";
import { addFound, createFound, type Found, type IntervalChange } from "../../src/analysis/found";
import { concludeConfig, PASS_VERSION } from "../../src/analysis/pass-config";
import type { Dropout, EnergyShares, Note, Transfer } from "../../src/analysis/results";
import type { Settings } from "../../src/analysis/settings";
import type { FoundDropout, FoundTransfer } from "../../src/analysis/transfers";
import { RESULT_COLUMNS } from "../queries/result-columns";
import type { TransactionSql } from "../samples/copy-in";
import {
  continuousLoad,
  dayResult,
  dropout,
  gap,
  hourResult,
  imbalanceInterval,
  intervalChange,
  keptState,
  nearLimit,
  openNeutral,
  resultNote,
  siteResult,
  transfer,
} from "../schema/results";
import { insertRows } from "./insert-rows";
import { BEGINNING_MS, type ComputedResults, configHash } from "./results-by-day";
import { rowsJson } from "./rows-json";

const EVENT_TABLES = [
  transfer,
  dropout,
  nearLimit,
  imbalanceInterval,
  continuousLoad,
  openNeutral,
  intervalChange,
  dayResult,
  hourResult,
  gap,
] as const;

/*
 * What a small recompute costs are the ways to the server and back: statements have the same text each time, so
 * that they are prepared once a connection, and those that don't wait for one another are sent at once.
 */

/**
 * Replaces a site's results inside the caller's transaction, from the midnight that the pass went on from to
 * the one at which it stopped, concludes anew from all that then stands, and says which revision of the samples
 * the results stand on. Results of a newer revision stay; false then.
 *
 * @param computed null where the site has no samples
 */
export async function writeResults(
  tx: TransactionSql,
  siteId: number,
  revision: number,
  computed: ComputedResults | null,
): Promise<boolean> {
  // The server takes the lock before it reads what stands.
  const [[current], [before], around] = await Promise.all([
    tx<{ revision: number | null }[]>`
      select results_revision as revision from site where site_id = ${siteId} for update`.execute(),
    tx<Before[]>`
      select notes_digest as "notesDigest", conclude_config as "concludeConfig"
      from site_result where site_id = ${siteId}`.execute(),
    computed === null ? NOTHING_STANDS : whatStands(tx, siteId, computed, reachOf(computed)),
  ]);
  if (current === undefined || (current.revision ?? -1) > revision) return false;
  if (computed === null) {
    for (const table of [...EVENT_TABLES, resultNote, siteResult, keptState]) {
      await tx.unsafe(`delete from ${getTableName(table)} where site_id = $1`, [siteId]);
    }
    await standOn(tx, siteId, revision);
  } else await replace(tx, siteId, revision, computed, before ?? null, around);
  return true;
}

async function standOn(tx: TransactionSql, siteId: number, revision: number): Promise<void> {
  // What was changed while this was computed is in the same stretch: it stays until it was computed too.
  await tx`
    update site set results_revision = ${revision},
      results_computed_at_ms = (extract(epoch from clock_timestamp()) * 1000)::bigint,
      changed_from_ms = case when samples_revision = ${revision} then null else changed_from_ms end,
      changed_to_ms = case when samples_revision = ${revision} then null else changed_to_ms end
    where site_id = ${siteId}`;
}

/** Of what stood for the whole history: whether it must be written, and decided, anew. */
type Before = { notesDigest: string; concludeConfig: string };

async function replace(
  tx: TransactionSql,
  siteId: number,
  revision: number,
  computed: ComputedResults,
  before: Before | null,
  around: WhatStands,
): Promise<void> {
  const found = createFound();
  for (const segment of computed.segments) addFound(found, segment.found);
  const options = { ...computed.options, faultWords: computed.faultWords, nominalMs: computed.nominalMs };
  const configuration = configHash(concludeConfig(computed.options, computed.faultWords));
  const same = before?.concludeConfig === configuration;
  const reach = same ? reachOf(computed) : EVERYTHING;
  const standing = same ? around : await whatStands(tx, siteId, computed, EVERYTHING);

  const transfers = inOrder([...standing.transfers.map((one) => one.event), ...found.transfers]);
  const dropouts = inOrder([...standing.dropouts.map((one) => one.event), ...found.dropouts]);
  const concluded = concludeEvents(transfers, dropouts, [...standing.days, ...found.days], options);
  const decidedTransfers = new Map(
    concluded.transfers.map((one, i) => [one.atMs, { ...one, delayS: concluded.delaysS[i] }]),
  );
  const decidedDropouts = new Map(concluded.dropouts.map((one) => [one.atMs, one]));
  const inReach = <Event extends { atMs: number }>(list: readonly Standing<Event>[]) =>
    list.filter(({ event }) => event.atMs >= reach.fromMs && event.atMs < reach.toMs);
  await Promise.all([
    deleteReplaced(tx, siteId, computed),
    insertFound(tx, siteId, computed, decidedTransfers, decidedDropouts),
    updateDecided(tx, siteId, transfer, inReach(standing.transfers), decidedTransfers),
    updateDecided(tx, siteId, dropout, inReach(standing.dropouts), decidedDropouts),
  ]);

  const { intervals, total, balances, delaysS } = await wholeHistory(tx, siteId, options.settings);
  const history = concludeHistory(intervals, total, balances, delaysS, options);
  await Promise.all([
    writeHistory(tx, siteId, computed, history, configuration, before?.notesDigest ?? null),
    standOn(tx, siteId, revision),
  ]);
}

/**
 * Which events may have to be decided anew where only events and days of some segments have changed, and how far
 * around them what they depend on lies: other transfers and days within scheduledWithinDays, the return before.
 */
type Reach = { fromMs: number; toMs: number; marginMs: number };

const EVERYTHING: Reach = { fromMs: BEGINNING_MS, toMs: Number.MAX_SAFE_INTEGER, marginMs: 0 };

function reachOf({ fromMs, untilMs, options: { settings } }: ComputedResults): Reach {
  // Two days more, for the local date that an event has and for what was under way over the segments' edges.
  const marginMs = (settings.scheduledWithinDays + 2) * DAY_MS + settings.repeatWithinS * 1000;
  return {
    fromMs: fromMs === null ? BEGINNING_MS : fromMs - marginMs,
    toMs: untilMs === null ? Number.MAX_SAFE_INTEGER : untilMs + marginMs,
    marginMs,
  };
}

const DAY_MS = 86_400_000;

/** The stretch of segments that were computed anew: from ≤ segment_ms < to. */
function replacedBy({ fromMs, untilMs }: ComputedResults): [from: number, to: number] {
  return [fromMs ?? BEGINNING_MS, untilMs ?? Number.MAX_SAFE_INTEGER];
}

/** Deletes the rows of the segments that were computed anew, and the states kept after their beginning. */
async function deleteReplaced(tx: TransactionSql, siteId: number, computed: ComputedResults): Promise<void> {
  await tx.unsafe(DELETE_REPLACED, [siteId, ...replacedBy(computed)], { prepare: true });
}

const DELETE_REPLACED = `with ${EVENT_TABLES.map(
  (table, i) => `gone_${i} as (
    delete from ${getTableName(table)} where site_id = $1 and segment_ms >= $2 and segment_ms < $3)`,
).join(", ")}
  delete from kept_state where site_id = $1 and midnight_ms > $2 and midnight_ms <= $3`;

type Standing<Event> = { event: Event; digest: string };
type WhatStands = {
  transfers: Standing<FoundTransfer>[];
  dropouts: Standing<FoundDropout>[];
  days: Pick<DayGist, "date" | "samples">[];
};

const NOTHING_STANDS: WhatStands = { transfers: [], dropouts: [], days: [] };

/** Events that stay, within reach of what was computed anew and as far around as they depend on, and the days there. */
async function whatStands(
  tx: TransactionSql,
  siteId: number,
  computed: ComputedResults,
  { fromMs, toMs, marginMs }: Reach,
): Promise<WhatStands> {
  if (computed.fromMs === null && computed.untilMs === null) return NOTHING_STANDS;
  const [first, last] = replacedBy(computed);
  const begin = Math.max(BEGINNING_MS, fromMs - marginMs);
  const end = Math.min(Number.MAX_SAFE_INTEGER, toMs + marginMs);
  const parameters = [siteId, first, last, begin, end];
  const events = async <Event>(table: typeof transfer | typeof dropout) => {
    const rows = await tx.unsafe<{ found: Buffer; digest: string }[]>(
      `select found, digest from ${getTableName(table)} where ${STAYS} and at_ms >= $4 and at_ms < $5 order by at_ms`,
      parameters,
      { prepare: true },
    );
    return rows.map((row) => ({ event: deserialize(row.found) as Event, digest: row.digest }));
  };
  const [transfers, dropouts, days] = await Promise.all([
    events<FoundTransfer>(transfer),
    events<FoundDropout>(dropout),
    tx.unsafe<WhatStands["days"]>(
      `select date, samples from day_result where ${STAYS} and from_ms >= $4 and from_ms < $5`,
      parameters,
      { prepare: true },
    ),
  ]);
  return { transfers, dropouts, days };
}

const STAYS = "site_id = $1 and (segment_ms < $2 or segment_ms >= $3)";

/** What the history is concluded from, once all events and days stand. */
async function wholeHistory(
  tx: TransactionSql,
  siteId: number,
  { lossNoteShare }: Settings,
): Promise<{
  intervals: IntervalChange[];
  total: DaysTotal;
  balances: DayBalance[];
  delaysS: number[];
}> {
  const [intervals, [{ samples, heldS, firstMs, firstDayMs, untilMs, ...sums }], balances, [{ delaysS }]] =
    await Promise.all([
      tx<IntervalChange[]>`
        select from_ms as "fromMs", nominal_ms as "nominalMs" from interval_change
        where site_id = ${siteId} order by from_ms`,
      tx.unsafe<TotalRow[]>(TOTAL, [siteId], { prepare: true }),
      tx<DayBalance[]>`
        select date, losses_wh as "lossesWh", supplied_wh as "suppliedWh" from day_result
        where site_id = ${siteId} and supplied_wh > 0
          and abs(losses_wh) > ${lossNoteShare}::float8 * supplied_wh
        order by date`,
      tx<{ delaysS: number[] | null }[]>`
        select array_agg(delay_s) as "delaysS" from transfer
        where site_id = ${siteId} and delay_s is not null`,
    ]);
  const shares = {} as EnergyShares;
  for (const key of SHARES) shares[key] = sums[key];
  const counts = createDeriveCounts();
  for (const key of COUNTS) counts[key] = sums[key];
  return {
    intervals,
    total: { shares, counts, samples, heldS, firstMs, firstDayMs, untilMs },
    balances,
    delaysS: delaysS ?? [],
  };
}

type TotalRow = EnergyShares & DeriveCounts & Omit<DaysTotal, "shares" | "counts">;

const SHARES = Object.keys(RESULT_COLUMNS.shares) as (keyof EnergyShares)[];
const COUNTS = Object.keys(createDeriveCounts()) as (keyof DeriveCounts)[];

/**
 * All days added up, as `daysTotal` does: float8 added in order of the dates, from 0, comes to the same bits on
 * the server, which needn't hand over a row a day for it.
 */
const TOTAL = `select ${[
  ...SHARES.map((key) => inOrderOfDays(RESULT_COLUMNS.shares[key].name, key)),
  ...COUNTS.map((key) => inOrderOfDays(`(counts ->> '${key}')::float8`, key)),
  inOrderOfDays("samples::float8", "samples"),
  inOrderOfDays("held_s", "heldS"),
  ...[
    ["firstMs", "first_ms", "and first_ms <> 'NaN' order by date"],
    ["firstDayMs", "first_ms", "order by date"],
    ["untilMs", "until_ms", "order by date desc"],
  ].map(
    ([key, column, which]) => `coalesce((select ${column} from day_result
      where site_id = $1 ${which} limit 1), 'NaN') as "${key}"`,
  ),
].join(", ")} from day_result where site_id = $1`;

function inOrderOfDays(value: string, key: string): string {
  return `0::float8 + coalesce(sum(${value} order by date), 0) as "${key}"`;
}

async function insertFound(
  tx: TransactionSql,
  siteId: number,
  { segments, kept }: ComputedResults,
  transfers: ReadonlyMap<number, Transfer & { delayS: number | null }>,
  dropouts: ReadonlyMap<number, Dropout>,
): Promise<void> {
  const insert = <T extends PgTable, Row>(
    table: T,
    list: (found: Found) => readonly Row[],
    row: (one: Row) => Omit<T["$inferInsert"], "siteId" | "segmentMs">,
  ) =>
    insertRows(
      tx,
      table,
      segments.flatMap(({ sinceMs, found }) =>
        list(found).map((one) => ({ siteId, segmentMs: sinceMs, ...row(one) })),
      ) as T["$inferInsert"][],
    );
  const asFound = <Row>(one: Row) => one;
  await Promise.all([
    insert(
      transfer,
      (found) => found.transfers,
      (one) => decided(one, transfers),
    ),
    insert(
      dropout,
      (found) => found.dropouts,
      (one) => decided(one, dropouts),
    ),
    insert(nearLimit, (found) => found.nearLimit, asFound),
    insert(imbalanceInterval, (found) => found.imbalance, asFound),
    insert(continuousLoad, (found) => found.continuousLoad, asFound),
    insert(openNeutral, (found) => found.openNeutral, asFound),
    insert(intervalChange, (found) => found.intervals, asFound),
    insert(
      dayResult,
      (found) => found.days,
      ({ shares, sums, ...day }) => ({
        ...day,
        ...shares,
        firstMs: sums.coverage.firstMs,
        untilMs: sums.coverage.untilMs,
        counts: sums.counts,
        sums: serialize(sums),
      }),
    ),
    insert(hourResult, (found) => found.hours, asFound),
    insert(gap, (found) => found.gaps, asFound),
    insertRows(
      tx,
      keptState,
      kept.map((one) => ({ siteId, ...one })),
    ),
  ]);
}

/** A found event with what was decided of it. */
function decided<Found extends { atMs: number }, Decided>(
  found: Found,
  all: ReadonlyMap<number, Decided>,
): Decided & { found: Buffer; digest: string } {
  const result = all.get(found.atMs);
  if (result === undefined)
    throw new RangeError(`writeResults requires a decision on each event, got none at ${found.atMs}`);
  return { ...result, found: serialize(found), digest: digestOf(result) };
}

/** Writes what was decided otherwise than before of events that stand. */
async function updateDecided(
  tx: TransactionSql,
  siteId: number,
  table: typeof transfer | typeof dropout,
  standing: readonly Standing<{ atMs: number }>[],
  results: ReadonlyMap<number, { atMs: number }>,
): Promise<void> {
  const changed = standing.flatMap(({ event, digest: was }) => {
    const result = results.get(event.atMs);
    if (result === undefined) return [];
    const digest = digestOf(result);
    return was === digest ? [] : [{ siteId, ...result, digest }];
  });
  if (changed.length === 0) return;
  const name = getTableName(table);
  const { siteId: _, segmentMs: __, atMs: ___, found: ____, ...columns } = getTableColumns(table);
  const set = Object.values(columns).map((column) => `${column.name} = decided.${column.name}`);
  await tx.unsafe(
    `update ${name} set ${set.join(", ")}
      from json_populate_recordset(null::${name}, $1::text::json) as decided
      where ${name}.site_id = decided.site_id and ${name}.at_ms = decided.at_ms`,
    [rowsJson(getTableColumns(table), changed)],
    { prepare: true },
  );
}

/** What stands once for the whole history. */
async function writeHistory(
  tx: TransactionSql,
  siteId: number,
  computed: ComputedResults,
  { coverage, total, returnDelay, notes }: ReturnType<typeof concludeHistory>,
  configuration: string,
  notesBefore: string | null,
): Promise<void> {
  const notesDigest = digestOf(notes);
  const row: typeof siteResult.$inferInsert = {
    siteId,
    coverage,
    total,
    returnDelay,
    settings: computed.options.settings,
    nominalMs: Number.isNaN(computed.nominalMs) ? null : computed.nominalMs,
    notesDigest,
    passVersion: PASS_VERSION,
    passConfig: computed.passConfig,
    concludeConfig: configuration,
    firstSocPct: computed.options.firstSocPct ?? null,
    faultWords: [...computed.faultWords],
  };
  await Promise.all([
    tx.unsafe(UPSERT_SITE_RESULT, [rowsJson(getTableColumns(siteResult), [row])], { prepare: true }),
    ...(notesBefore === notesDigest
      ? []
      : [
          tx`delete from result_note where site_id = ${siteId}`.execute(),
          insertRows(
            tx,
            resultNote,
            notes.map((note, ordinal) => ({ siteId, ordinal, date: dateOf(note), ...note })),
          ),
        ]),
  ]);
}

const UPSERT_SITE_RESULT = `insert into site_result
  select * from json_populate_recordset(null::site_result, $1::text::json)
  on conflict (site_id) do update set ${Object.values(getTableColumns(siteResult))
    .map(({ name }) => `${name} = excluded.${name}`)
    .join(", ")}`;

function dateOf(note: Note): string | null {
  const figures: { readonly [name: string]: unknown } = note.figures;
  return typeof figures.date === "string" ? figures.date : null;
}

function digestOf(result: unknown): string {
  return createHash("sha256").update(JSON.stringify(result)).digest("base64");
}

function inOrder<Event extends { atMs: number }>(events: Event[]): Event[] {
  return events.sort((a, b) => a.atMs - b.atMs);
}
