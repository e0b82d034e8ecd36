import { and, eq } from "drizzle-orm";
import type { Database } from "../open-database";
import { personNote } from "../schema/person-note";

/** Removes a person's note for good; false where there is none. */
export async function removePersonNote(
  database: Pick<Database, "orm">,
  siteId: number,
  noteId: number,
): Promise<boolean> {
  const removed = await database.orm
    .delete(personNote)
    .where(and(eq(personNote.siteId, siteId), eq(personNote.noteId, noteId)))
    .returning({ noteId: personNote.noteId });
  return removed.length > 0;
}
