import { and, eq } from "drizzle-orm";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { NOW_MS } from "../schema/now-ms";
import { personNote } from "../schema/person-note";
import { noteText } from "./note-text";

/**
 * Replaces the text of a person's note; what it is about stays.
 *
 * @throws AppError bad-input for a text that is empty or too long, not-found
 */
export async function changePersonNote(
  database: Pick<Database, "orm">,
  siteId: number,
  noteId: number,
  { text, isChange }: { text: string; isChange: boolean },
): Promise<void> {
  const changed = await database.orm
    .update(personNote)
    .set({ text: noteText(text), isChange, changedAtMs: NOW_MS })
    .where(and(eq(personNote.siteId, siteId), eq(personNote.noteId, noteId)))
    .returning({ noteId: personNote.noteId });
  if (changed.length === 0) throw new AppError("not-found", "There is no such note any more.");
}
