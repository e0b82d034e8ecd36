import Link from "next/link";
import type { PersonNote } from "../../db/queries/person-notes-of";
import { MAX_NOTE_CHARACTERS } from "../../db/schema/person-note";
import type { NoteAnchor } from "../../db/writes/add-person-note";
import { clockOf } from "../../src/report/format";
import { noteSubject } from "../../src/report/person-note-sentence";
import { addNoteAction, changeNoteAction } from "../_actions/note-by-person";
import { anchorWord } from "../_data/note-anchor";
import { dayHref } from "../_format/day-address";
import { formatInstant } from "../_format/local-time";
import { transferId } from "../_format/transfer-id";
import { ActionForm } from "./action-form";
import { Choice } from "./field";
import styles from "./person-notes.module.css";

/** What a note can be written about, with the words for it. */
export type NoteChoice = { about: NoteAnchor; text: string };

/**
 * Notes that a person wrote, each with a form to change it, and a form for one more. Works without script.
 *
 * @param about what a new note can be about; the first is chosen unasked
 * @param back this sheet's address, to which a saved form leads
 */
export function PersonNotes({
  slug,
  timezone,
  notes,
  about,
  back,
}: {
  slug: string;
  timezone: string;
  notes: readonly PersonNote[];
  about: readonly [NoteChoice, ...NoteChoice[]];
  back: string;
}) {
  return (
    <div className={styles.notes} id="notes">
      {notes.length === 0 ? null : (
        <ul className={styles.list}>
          {notes.map((note) => (
            <li key={note.noteId}>
              {about.length === 1 && note.stands && !note.isChange ? null : (
                <p className={styles.subject}>{noteSubject(note, clockOf(timezone))}</p>
              )}
              <p className={styles.text}>{note.text}</p>
              <p className={styles.when}>
                Written {formatInstant(note.writtenAtMs, timezone, false)}
                {note.changedAtMs === null
                  ? ""
                  : `, changed ${formatInstant(note.changedAtMs, timezone, false)}`}
                {note.isChange ? (
                  <>
                    .{" "}
                    <Link className="no-print" href={`/sites/${slug}/compare?change=${note.date}`}>
                      Before and after it
                    </Link>
                  </>
                ) : null}
              </p>
              <details className="no-print">
                <summary>
                  Change or remove
                  <span className="visually-hidden"> this note: {note.text.slice(0, 40)}</span>
                </summary>
                <ActionForm
                  action={changeNoteAction.bind(null, { slug, back, noteId: note.noteId })}
                  submit="Save the note"
                  busy="Saving …"
                  label={`Change the note written ${formatInstant(note.writtenAtMs, timezone)}`}
                >
                  <Written id={`note-${note.noteId}`} text={note.text} isChange={note.isChange} />
                  <label className={styles.tick}>
                    <input type="checkbox" name="remove" /> Remove this note for good
                  </label>
                </ActionForm>
              </details>
            </li>
          ))}
        </ul>
      )}
      <details className="no-print">
        <summary>{notes.length === 0 ? "Write a note" : "Write another note"}</summary>
        <ActionForm
          action={addNoteAction.bind(null, { slug, back })}
          submit="Keep this note"
          busy="Saving …"
          label="Write a note"
        >
          {about.length === 1 ? (
            <input type="hidden" name="about" value={anchorWord(about[0].about)} />
          ) : (
            <Choice
              name="about"
              label="About"
              value={anchorWord(about[0].about)}
              options={about.map((one) => [anchorWord(one.about), one.text])}
              open={null}
            />
          )}
          <Written id="note-new" text="" isChange={false} />
        </ActionForm>
      </details>
    </div>
  );
}

/** Notes as a list to be read, each leading to where it was written. */
export function NotesList({
  slug,
  timezone,
  notes,
}: {
  slug: string;
  timezone: string;
  notes: readonly PersonNote[];
}) {
  return (
    <ul className={styles.list}>
      {notes.map((note) => (
        <li key={note.noteId}>
          <p className={styles.subject}>
            <Link prefetch={false} href={sheetOf(slug, note)}>
              {noteSubject(note, clockOf(timezone))}
            </Link>
            {note.isChange ? (
              <Link className="no-print" href={`/sites/${slug}/compare?change=${note.date}`}>
                Before and after it
              </Link>
            ) : null}
          </p>
          <p className={styles.text}>{note.text}</p>
        </li>
      ))}
    </ul>
  );
}

/** The sheet on which a note can be changed. */
function sheetOf(slug: string, { kind, atMs, date, stands }: PersonNote): string {
  return kind === "transfer" && atMs !== null && stands
    ? `/sites/${slug}/transfers/${transferId(atMs)}#notes`
    : `${dayHref(slug, date)}#notes`;
}

function Written({ id, text, isChange }: { id: string; text: string; isChange: boolean }) {
  return (
    <>
      <div>
        <label htmlFor={id} className={styles.label}>
          Note
        </label>
        <textarea
          id={id}
          name="noteText"
          className={styles.written}
          defaultValue={text}
          maxLength={MAX_NOTE_CHARACTERS}
          required={text === ""}
          aria-describedby={`${id}-hint`}
        />
        <p className={styles.when} id={`${id}-hint`}>
          At most {MAX_NOTE_CHARACTERS.toLocaleString("en-US")} characters. It stays when results are computed
          anew, and goes into a backup.
        </p>
      </div>
      <label className={styles.tick}>
        <input type="checkbox" name="isChange" defaultChecked={isChange} /> Something was changed then, such
        as a circuit moved to the other leg
      </label>
    </>
  );
}
