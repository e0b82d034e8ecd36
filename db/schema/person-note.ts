import { sql } from "drizzle-orm";
import { bigint, boolean, check, index, integer, pgTable, primaryKey, text } from "drizzle-orm/pg-core";
import { NOW_MS } from "./now-ms";
import { site } from "./site";

/** What a person's note is about: an event by its instant, or a local day. */
export const NOTE_KINDS = ["transfer", "dropout", "day"] as const;

export type NoteKind = (typeof NOTE_KINDS)[number];

/** Characters that a person's note has at most. */
export const MAX_NOTE_CHARACTERS = 2000;

/**
 * What a person wrote down about an event or a day. It hangs on an instant or a date and on no result row: results are
 * computed anew, notes stay, and a note whose event isn't found any more still says when it was.
 */
export const personNote = pgTable(
  "person_note",
  {
    siteId: integer("site_id")
      .notNull()
      .references(() => site.siteId, { onDelete: "cascade" }),
    noteId: integer("note_id").generatedAlwaysAsIdentity().notNull(),
    kind: text("kind").$type<NoteKind>().notNull(),
    /** Of an event; null for a day. */
    atMs: bigint("at_ms", { mode: "number" }),
    /** yyyy-MM-dd of a day at the site; null for an event. */
    date: text("date"),
    /** Whether something was changed then, so that what came before it can be held against what came after. */
    isChange: boolean("is_change").notNull().default(false),
    text: text("text").notNull(),
    writtenAtMs: bigint("written_at_ms", { mode: "number" }).notNull().default(NOW_MS),
    /** Null until it is changed. */
    changedAtMs: bigint("changed_at_ms", { mode: "number" }),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.noteId] }),
    index("person_note_at").on(table.siteId, table.atMs),
    check("person_note_about", sql`(${table.kind} = 'day') = (${table.date} is not null)`),
    check("person_note_event", sql`(${table.kind} <> 'day') = (${table.atMs} is not null)`),
    check("person_note_length", sql`char_length(${table.text}) between 1 and 2000`),
  ],
);
