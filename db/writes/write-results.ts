import { createHash } from "node:crypto";
import { deserialize, serialize } from "node:v8";
import { and, asc, eq, getTableColumns, gte, isNotNull, lt, sql } from "drizzle-orm";
import type { PgTable } from "drizzle-orm/pg-core";
import { concludeEvents, concludeHistory, type DayGist, dayGist } from "../../src/analysis/conclude-review";
import { addFound, createFound } from "../../src/analysis/found";
import { concludeConfig } from "../../src/analysis/pass-config";
import type { Dropout, Note, Transfer } from "../../src/analysis/results";
import type { Settings } from "../../src/analysis/settings";
import type { FoundDropout, FoundTransfer } from "../../src/analysis/transfers";
import type { Database } from "../open-database";
import { RESULT_COLUMNS } from "../queries/result-columns";
import { NOW_MS } from "../schema/now-ms";
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
import { site } from "../schema/site";
import { BEGINNING_MS, type ComputedResults, configHash } from "./results-by-day";

/** Rows an insert: far below the protocol's 65,535 parameters. */
const ROWS = 1000;
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

type Orm = Pick<Database["orm"], "select" | "delete" | "insert" | "update" | "execute">;

/**
 * Replaces a site's results inside the caller's transaction, from the midnight that the pass went on from to
 * the one at which it stopped, concludes anew from all that then stands, and says which revision of the samples
 * the results stand on. Results of a newer revision stay; false then.
 *
 * @param computed null where the site has no samples
 */
export async function writeResults(
  orm: Orm,
  siteId: number,
  revision: number,
  computed: ComputedResults | null,
): Promise<boolean> {
  const [current] = await orm
    .select({ revision: site.resultsRevision })
    .from(site)
    .where(eq(site.siteId, siteId))
    .for("update");
  if (current === undefined || (current.revision ?? -1) > revision) return false;
  if (computed === null) {
    for (const table of [...EVENT_TABLES, resultNote, siteResult, keptState]) {
      await orm.delete(table).where(eq(table.siteId, siteId));
    }
  } else await replace(orm, siteId, computed);
  await orm
    .update(site)
    .set({
      resultsRevision: revision,
      resultsComputedAtMs: NOW_MS,
      // What was changed while this was computed is in the same stretch: it stays until it was computed too.
      changedFromMs: sql`case when ${site.samplesRevision} = ${revision} then null else ${site.changedFromMs} end`,
      changedToMs: sql`case when ${site.samplesRevision} = ${revision} then null else ${site.changedToMs} end`,
    })
    .where(eq(site.siteId, siteId));
  return true;
}

async function replace(orm: Orm, siteId: number, computed: ComputedResults): Promise<void> {
  const [before] = await orm
    .select({ notesDigest: siteResult.notesDigest, concludeConfig: siteResult.concludeConfig })
    .from(siteResult)
    .where(eq(siteResult.siteId, siteId));
  await deleteReplaced(orm, siteId, computed);
  const found = createFound();
  for (const segment of computed.segments) addFound(found, segment.found);
  const options = { ...computed.options, faultWords: computed.faultWords, nominalMs: computed.nominalMs };
  const configuration = configHash(concludeConfig(computed.options, computed.faultWords));
  const whole = computed.fromMs === null && computed.untilMs === null;
  const reach =
    before?.concludeConfig === configuration
      ? reachOf(computed, options.settings)
      : { fromMs: BEGINNING_MS, toMs: Number.MAX_SAFE_INTEGER, marginMs: 0 };

  const standing = whole ? NOTHING_STANDS : await whatStands(orm, siteId, reach);
  const days = [...standing.days, ...found.days.map(dayGist)].sort((a, b) => (a.date < b.date ? -1 : 1));
  const transfers = inOrder([...standing.transfers.map((one) => one.event), ...found.transfers]);
  const dropouts = inOrder([...standing.dropouts.map((one) => one.event), ...found.dropouts]);
  const concluded = concludeEvents(transfers, dropouts, days, options);
  const decidedTransfers = new Map(
    concluded.transfers.map((one, i) => [one.atMs, { ...one, delayS: concluded.delaysS[i] }]),
  );
  const decidedDropouts = new Map(concluded.dropouts.map((one) => [one.atMs, one]));
  await insertFound(orm, siteId, computed, decidedTransfers, decidedDropouts);
  const inReach = <Event extends { atMs: number }>(list: readonly Standing<Event>[]) =>
    list.filter(({ event }) => event.atMs >= reach.fromMs && event.atMs < reach.toMs);
  await updateDecided(orm, siteId, transfer, inReach(standing.transfers), decidedTransfers);
  await updateDecided(orm, siteId, dropout, inReach(standing.dropouts), decidedDropouts);

  const delays = await orm
    .select({ delayS: transfer.delayS })
    .from(transfer)
    .where(and(eq(transfer.siteId, siteId), isNotNull(transfer.delayS)));
  const history = concludeHistory(
    [...standing.intervals, ...found.intervals].sort((a, b) => a.fromMs - b.fromMs),
    days,
    delays.map((one) => one.delayS),
    options,
  );
  await writeHistory(orm, siteId, computed, history, configuration, before?.notesDigest ?? null);
}

/**
 * Which events may have to be decided anew where only events and days of some segments have changed, and how far
 * around them what they depend on lies: other transfers and days within scheduledWithinDays, the return before.
 */
type Reach = { fromMs: number; toMs: number; marginMs: number };

function reachOf({ fromMs, untilMs }: ComputedResults, settings: Settings): Reach {
  // Two days more, for the local date that an event has and for what was under way over the segments' edges.
  const marginMs = (settings.scheduledWithinDays + 2) * DAY_MS + settings.repeatWithinS * 1000;
  return {
    fromMs: fromMs === null ? BEGINNING_MS : fromMs - marginMs,
    toMs: untilMs === null ? Number.MAX_SAFE_INTEGER : untilMs + marginMs,
    marginMs,
  };
}

const DAY_MS = 86_400_000;

/** Deletes the rows of the segments that were computed anew, and the states kept after their beginning. */
async function deleteReplaced(orm: Orm, siteId: number, { fromMs, untilMs }: ComputedResults): Promise<void> {
  const first = fromMs ?? BEGINNING_MS;
  const last = untilMs ?? Number.MAX_SAFE_INTEGER;
  const parts = EVENT_TABLES.map(
    (table, i) => sql`${sql.raw(`gone_${i}`)} as (delete from ${table}
      where site_id = ${siteId} and segment_ms >= ${first} and segment_ms < ${last})`,
  );
  // One statement, since a statement's way to the server and back takes longer than what it does here.
  await orm.execute(sql`with ${sql.join(parts, sql`, `)}
    delete from ${keptState} where site_id = ${siteId} and midnight_ms > ${first} and midnight_ms <= ${last}`);
}

type Standing<Event> = { event: Event; digest: string };
type WhatStands = {
  transfers: Standing<FoundTransfer>[];
  dropouts: Standing<FoundDropout>[];
  intervals: { fromMs: number; nominalMs: number }[];
  days: DayGist[];
};

const NOTHING_STANDS: WhatStands = { transfers: [], dropouts: [], intervals: [], days: [] };

/**
 * Events that stand, within reach of what was computed anew and as far around as they depend on, and all days. The
 * statements go to the server at once, and it answers them in order.
 */
async function whatStands(orm: Orm, siteId: number, { fromMs, toMs, marginMs }: Reach): Promise<WhatStands> {
  const events = async <Event>(table: typeof transfer | typeof dropout) => {
    const rows = await orm
      .select({ found: table.found, digest: table.digest })
      .from(table)
      .where(
        and(
          eq(table.siteId, siteId),
          gte(table.atMs, Math.max(BEGINNING_MS, fromMs - marginMs)),
          lt(table.atMs, Math.min(Number.MAX_SAFE_INTEGER, toMs + marginMs)),
        ),
      )
      .orderBy(asc(table.atMs));
    return rows.map((row) => ({ event: deserialize(row.found) as Event, digest: row.digest }));
  };
  const [transfers, dropouts, intervals, days] = await Promise.all([
    events<FoundTransfer>(transfer),
    events<FoundDropout>(dropout),
    orm
      .select({ fromMs: intervalChange.fromMs, nominalMs: intervalChange.nominalMs })
      .from(intervalChange)
      .where(eq(intervalChange.siteId, siteId)),
    orm.select(GIST_COLUMNS).from(dayResult).where(eq(dayResult.siteId, siteId)),
  ]);
  return { transfers, dropouts, intervals, days };
}

async function insertFound(
  orm: Orm,
  siteId: number,
  { segments, kept }: ComputedResults,
  transfers: ReadonlyMap<number, Transfer & { delayS: number | null }>,
  dropouts: ReadonlyMap<number, Dropout>,
): Promise<void> {
  const insert = async <T extends PgTable>(table: T, rows: readonly T["$inferInsert"][]) => {
    for (let from = 0; from < rows.length; from += ROWS) {
      await orm.insert(table).values(rows.slice(from, from + ROWS) as T["$inferInsert"][]);
    }
  };
  const rows = <Row, T>(
    list: (segment: ComputedResults["segments"][number]) => readonly Row[],
    row: (one: Row) => T,
  ) =>
    segments.flatMap((segment) =>
      list(segment).map((one) => ({ siteId, segmentMs: segment.sinceMs, ...row(one) })),
    );
  await Promise.all([
    insert(
      transfer,
      rows(
        ({ found }) => found.transfers,
        (one) => decided(one, transfers),
      ),
    ),
    insert(
      dropout,
      rows(
        ({ found }) => found.dropouts,
        (one) => decided(one, dropouts),
      ),
    ),
    insert(
      nearLimit,
      rows(
        ({ found }) => found.nearLimit,
        (one) => one,
      ),
    ),
    insert(
      imbalanceInterval,
      rows(
        ({ found }) => found.imbalance,
        (one) => one,
      ),
    ),
    insert(
      continuousLoad,
      rows(
        ({ found }) => found.continuousLoad,
        (one) => one,
      ),
    ),
    insert(
      openNeutral,
      rows(
        ({ found }) => found.openNeutral,
        (one) => one,
      ),
    ),
    insert(
      intervalChange,
      rows(
        ({ found }) => found.intervals,
        (one) => one,
      ),
    ),
    insert(
      dayResult,
      rows(
        ({ found }) => found.days,
        ({ shares, sums, ...day }) => ({
          ...day,
          ...shares,
          firstMs: sums.coverage.firstMs,
          untilMs: sums.coverage.untilMs,
          counts: sums.counts,
          sums: serialize(sums),
        }),
      ),
    ),
    insert(
      hourResult,
      rows(
        ({ found }) => found.hours,
        (one) => one,
      ),
    ),
    insert(
      gap,
      rows(
        ({ found }) => found.gaps,
        (one) => one,
      ),
    ),
    insert(
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
  orm: Orm,
  siteId: number,
  table: typeof transfer | typeof dropout,
  standing: readonly Standing<{ atMs: number }>[],
  results: ReadonlyMap<number, { atMs: number }>,
): Promise<void> {
  for (const { event, digest: was } of standing) {
    const result = results.get(event.atMs);
    if (result === undefined) continue;
    const digest = digestOf(result);
    if (was === digest) continue;
    await orm
      .update(table)
      .set({ ...result, digest })
      .where(and(eq(table.siteId, siteId), eq(table.atMs, event.atMs)));
  }
}

/** What stands once for the whole history. */
async function writeHistory(
  orm: Orm,
  siteId: number,
  computed: ComputedResults,
  { coverage, total, returnDelay, notes }: ReturnType<typeof concludeHistory>,
  configuration: string,
  notesBefore: string | null,
): Promise<void> {
  const notesDigest = digestOf(notes);
  if (notesBefore !== notesDigest) {
    await orm.delete(resultNote).where(eq(resultNote.siteId, siteId));
    const rows = notes.map((note, ordinal) => ({ siteId, ordinal, date: dateOf(note), ...note }));
    for (let from = 0; from < rows.length; from += ROWS) {
      await orm.insert(resultNote).values(rows.slice(from, from + ROWS));
    }
  }
  const row = {
    siteId,
    coverage,
    total,
    returnDelay,
    settings: computed.options.settings,
    nominalMs: Number.isNaN(computed.nominalMs) ? null : computed.nominalMs,
    notesDigest,
    passConfig: computed.passConfig,
    concludeConfig: configuration,
    firstSocPct: computed.options.firstSocPct ?? null,
    faultWords: [...computed.faultWords],
  };
  await orm.insert(siteResult).values(row).onConflictDoUpdate({ target: siteResult.siteId, set: row });
}

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

const { date, samples, heldS, firstMs, untilMs, counts } = getTableColumns(dayResult);
const GIST_COLUMNS = { date, samples, heldS, firstMs, untilMs, counts, shares: RESULT_COLUMNS.shares };
