import { and, asc, eq, gte, lt, or, sql } from "drizzle-orm";
import { createLocalClock } from "../../src/analysis/local-time";
import type { Database } from "../open-database";
import { type NoteKind, personNote } from "../schema/person-note";
import { dropout, transfer } from "../schema/results";
import type { LocalPeriod } from "./period-results";

/** A note that a person wrote about an event or a day. */
export type PersonNote = {
  noteId: number;
  kind: NoteKind;
  /** Of an event, epoch ms; null for a day. */
  atMs: number | null;
  /** Local day that it is about, or in which its event lies, yyyy-MM-dd. */
  date: string;
  /** Whether something was changed then. */
  isChange: boolean;
  text: string;
  writtenAtMs: number;
  /** Null until it is changed. */
  changedAtMs: number | null;
  /** False where the results have no such event at that instant (any more). */
  stands: boolean;
};

/** More than a sheet can show; the others are reached by a shorter period. */
const MAX_NOTES = 1000;

/**
 * Notes about a period's days and about events in it, ascending in time; those of a day before those of its events.
 *
 * @param period without it, of the whole history
 */
export async function personNotesOf(
  database: Pick<Database, "orm">,
  { siteId, timezone }: { siteId: number; timezone: string },
  period?: LocalPeriod,
): Promise<PersonNote[]> {
  const event = (table: typeof transfer | typeof dropout) =>
    sql`exists (select 1 from ${table} where ${table.siteId} = ${siteId} and ${table.atMs} = ${personNote.atMs})`;
  const rows = await database.orm
    .select({
      noteId: personNote.noteId,
      kind: personNote.kind,
      atMs: personNote.atMs,
      date: personNote.date,
      isChange: personNote.isChange,
      text: personNote.text,
      writtenAtMs: personNote.writtenAtMs,
      changedAtMs: personNote.changedAtMs,
      stands: sql<boolean>`case ${personNote.kind} when 'transfer' then ${event(transfer)} when 'dropout' then ${event(dropout)} else true end`,
    })
    .from(personNote)
    .where(
      and(
        eq(personNote.siteId, siteId),
        period === undefined
          ? undefined
          : or(
              and(gte(personNote.date, period.fromDate), lt(personNote.date, period.toDate)),
              and(gte(personNote.atMs, period.fromMs), lt(personNote.atMs, period.toMs)),
            ),
      ),
    )
    .orderBy(asc(personNote.noteId))
    .limit(MAX_NOTES);
  const clock = createLocalClock(timezone);
  return rows
    .map((row) => ({ ...row, date: row.date ?? clock.date(row.atMs ?? 0) }))
    .sort((a, b) =>
      a.date === b.date
        ? (a.atMs ?? Number.NEGATIVE_INFINITY) - (b.atMs ?? Number.NEGATIVE_INFINITY) || a.noteId - b.noteId
        : a.date < b.date
          ? -1
          : 1,
    );
}
