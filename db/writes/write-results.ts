import { createHash } from "node:crypto";
import { deserialize, serialize } from "node:v8";
import { and, asc, eq, getTableColumns, gte, lt, type SQL, sql } from "drizzle-orm";
import type { PgColumn, PgTable } from "drizzle-orm/pg-core";
import { type Conclusions, concludeReview, type DayGist, dayGist } from "../../src/analysis/conclude-review";
import { addFound, createFound } from "../../src/analysis/found";
import type { Note } from "../../src/analysis/results";
import type { FoundDropout, FoundTransfer } from "../../src/analysis/transfers";
import type { Database } from "../open-database";
import { RESULT_COLUMNS } from "../queries/result-columns";
import { NOW_MS } from "../schema/now-ms";
import {
  dayResult,
  dropout,
  gap,
  hourResult,
  imbalanceInterval,
  intervalChange,
  keptState,
  nearLimit,
  resultNote,
  siteResult,
  transfer,
} from "../schema/results";
import { site } from "../schema/site";
import type { ComputedResults } from "./results-by-day";

/** Rows an insert: far below the protocol's 65,535 parameters. */
const ROWS = 1000;
const EVENT_TABLES = [
  transfer,
  dropout,
  nearLimit,
  imbalanceInterval,
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
  await deleteReplaced(orm, siteId, computed);
  const standing = await eventsStanding(orm, siteId, computed);
  const found = createFound();
  for (const segment of computed.segments) addFound(found, segment.found);
  const concluded = concludeReview(
    {
      transfers: inOrder([...standing.transfers.map((one) => one.event), ...found.transfers]),
      dropouts: inOrder([...standing.dropouts.map((one) => one.event), ...found.dropouts]),
      intervals: [...standing.intervals, ...found.intervals].sort((a, b) => a.fromMs - b.fromMs),
    },
    [...standing.days, ...found.days.map(dayGist)].sort((a, b) => (a.date < b.date ? -1 : 1)),
    { ...computed.options, faultWords: computed.faultWords, nominalMs: computed.nominalMs },
  );

  await insertFound(orm, siteId, computed, concluded);
  await updateDecided(orm, siteId, transfer, standing.transfers, concluded.transfers);
  await updateDecided(orm, siteId, dropout, standing.dropouts, concluded.dropouts);
  await writeWhole(orm, siteId, computed, concluded);
}

/** Deletes the rows of the segments that were computed anew, and the states kept after their beginning. */
async function deleteReplaced(orm: Orm, siteId: number, { fromMs, untilMs }: ComputedResults): Promise<void> {
  const range = (own: PgColumn, first: number | null, last: number | null): SQL | undefined =>
    and(first === null ? undefined : gte(own, first), last === null ? undefined : lt(own, last));
  for (const table of EVENT_TABLES) {
    await orm.delete(table).where(and(eq(table.siteId, siteId), range(table.segmentMs, fromMs, untilMs)));
  }
  await orm
    .delete(keptState)
    .where(
      and(
        eq(keptState.siteId, siteId),
        range(
          keptState.midnightMs,
          fromMs === null ? null : fromMs + 1,
          untilMs === null ? null : untilMs + 1,
        ),
      ),
    );
}

type Standing<Event> = { event: Event; digest: string };

/** What stands of a site's events and days: all that is not in the segments that were computed. */
async function eventsStanding(
  orm: Orm,
  siteId: number,
  { fromMs, untilMs }: ComputedResults,
): Promise<{
  transfers: Standing<FoundTransfer>[];
  dropouts: Standing<FoundDropout>[];
  intervals: { fromMs: number; nominalMs: number }[];
  days: DayGist[];
}> {
  if (fromMs === null && untilMs === null) return { transfers: [], dropouts: [], intervals: [], days: [] };
  const events = async <Event>(table: typeof transfer | typeof dropout) => {
    const rows = await orm
      .select({ found: table.found, digest: table.digest })
      .from(table)
      .where(eq(table.siteId, siteId))
      .orderBy(asc(table.atMs));
    return rows.map((row) => ({ event: deserialize(row.found) as Event, digest: row.digest }));
  };
  return {
    transfers: await events<FoundTransfer>(transfer),
    dropouts: await events<FoundDropout>(dropout),
    intervals: await orm
      .select({ fromMs: intervalChange.fromMs, nominalMs: intervalChange.nominalMs })
      .from(intervalChange)
      .where(eq(intervalChange.siteId, siteId)),
    days: await orm.select(GIST_COLUMNS).from(dayResult).where(eq(dayResult.siteId, siteId)),
  };
}

async function insertFound(
  orm: Orm,
  siteId: number,
  { segments, kept }: ComputedResults,
  concluded: Conclusions,
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
  const decidedTransfer = new Map(concluded.transfers.map((one) => [one.atMs, one]));
  const decidedDropout = new Map(concluded.dropouts.map((one) => [one.atMs, one]));
  await insert(
    transfer,
    rows(
      ({ found }) => found.transfers,
      (one) => decided(one, decidedTransfer),
    ),
  );
  await insert(
    dropout,
    rows(
      ({ found }) => found.dropouts,
      (one) => decided(one, decidedDropout),
    ),
  );
  await insert(
    nearLimit,
    rows(
      ({ found }) => found.nearLimit,
      (one) => one,
    ),
  );
  await insert(
    imbalanceInterval,
    rows(
      ({ found }) => found.imbalance,
      (one) => one,
    ),
  );
  await insert(
    intervalChange,
    rows(
      ({ found }) => found.intervals,
      (one) => one,
    ),
  );
  await insert(
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
  );
  await insert(
    hourResult,
    rows(
      ({ found }) => found.hours,
      (one) => one,
    ),
  );
  await insert(
    gap,
    rows(
      ({ found }) => found.gaps,
      (one) => one,
    ),
  );
  await insert(
    keptState,
    kept.map((one) => ({ siteId, ...one })),
  );
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
  results: readonly { atMs: number }[],
): Promise<void> {
  const before = new Map(standing.map(({ event, digest }) => [event.atMs, digest]));
  for (const result of results) {
    const was = before.get(result.atMs);
    const digest = digestOf(result);
    if (was === undefined || was === digest) continue;
    await orm
      .update(table)
      .set({ ...result, digest })
      .where(and(eq(table.siteId, siteId), eq(table.atMs, result.atMs)));
  }
}

/** What stands once for the whole history. */
async function writeWhole(
  orm: Orm,
  siteId: number,
  computed: ComputedResults,
  { coverage, total, returnDelay, notes }: Conclusions,
): Promise<void> {
  const notesDigest = digestOf(notes);
  const [before] = await orm
    .select({ notesDigest: siteResult.notesDigest })
    .from(siteResult)
    .where(eq(siteResult.siteId, siteId));
  if (before?.notesDigest !== notesDigest) {
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
