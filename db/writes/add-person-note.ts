import { and, count, eq } from "drizzle-orm";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { type NoteKind, personNote } from "../schema/person-note";
import { noteText } from "./note-text";

/** What a note is about: an event by its instant, epoch ms, or a local day, yyyy-MM-dd. */
export type NoteAnchor =
  | { kind: Exclude<NoteKind, "day">; atMs: number }
  | { kind: Extract<NoteKind, "day">; date: string };

/** More than anybody writes by hand about one event or day; a program that goes wild ends there. */
const MAX_NOTES_ABOUT_ONE = 50;

/**
 * Keeps what a person wrote about an event or a day. The event need not be among the results.
 *
 * @throws AppError bad-input for a text that is empty or too long, a time or day that there isn't; conflict where there
 * are MAX_NOTES_ABOUT_ONE already
 */
export async function addPersonNote(
  database: Database,
  siteId: number,
  about: NoteAnchor,
  { text, isChange }: { text: string; isChange: boolean },
): Promise<{ noteId: number }> {
  const values = { siteId, kind: about.kind, ...placeOf(about), isChange, text: noteText(text) };
  return database.orm.transaction(async (orm) => {
    const same = about.kind === "day" ? eq(personNote.date, about.date) : eq(personNote.atMs, about.atMs);
    const [{ notes }] = await orm
      .select({ notes: count() })
      .from(personNote)
      .where(and(eq(personNote.siteId, siteId), eq(personNote.kind, about.kind), same));
    if (notes >= MAX_NOTES_ABOUT_ONE) {
      throw new AppError(
        "conflict",
        `There are ${notes} notes about this already. Change one of them, or remove one.`,
      );
    }
    const [added] = await orm.insert(personNote).values(values).returning({ noteId: personNote.noteId });
    return added;
  });
}

function placeOf(about: NoteAnchor): { atMs: number | null; date: string | null } {
  if (about.kind === "day") {
    const at = Date.parse(`${about.date}T00:00:00Z`);
    if (!/^\d{4}-\d\d-\d\d$/.test(about.date) || Number.isNaN(at) || !isoDate(at).startsWith(about.date)) {
      throw new AppError("bad-input", `A day is written like 2026-05-14, got "${about.date.slice(0, 20)}".`);
    }
    return { atMs: null, date: about.date };
  }
  if (!Number.isSafeInteger(about.atMs) || Math.abs(about.atMs) > LAST_INSTANT_MS) {
    throw new AppError("bad-input", "There is no such instant to write about.");
  }
  return { atMs: about.atMs, date: null };
}

/** The greatest instant that a date can hold, ECMA-262. */
const LAST_INSTANT_MS = 8.64e15;

function isoDate(atMs: number): string {
  return new Date(atMs).toISOString();
}
