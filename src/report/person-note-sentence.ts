import type { LocalClock } from "../analysis/local-time";
import { formatLocalTime, MONTH_NAMES } from "./format";

/** What of a person's note its sentence is made from; see `personNotesOf`. */
export type NotedByPerson = {
  readonly kind: "transfer" | "dropout" | "day";
  /** Of an event, epoch ms; null for a day. */
  readonly atMs: number | null;
  /** yyyy-MM-dd at the site. */
  readonly date: string;
  readonly isChange: boolean;
  readonly text: string;
  /** False where the results have no such event there any more. */
  readonly stands: boolean;
};

/**
 * A note of a person on one line, after what it is about.
 *
 * @example "Transfer of 14 May, 18:02:33: the kiln was on." or "14 May (change): moved the kiln to L2."
 */
export function personNoteSentence(note: NotedByPerson, clock: LocalClock): string {
  return `${noteSubject(note, clock)}: ${note.text.replaceAll(/\s*\n\s*/g, " / ")}`;
}

/** What a note of a person is about. */
export function noteSubject(
  { kind, atMs, date, isChange, stands }: Omit<NotedByPerson, "text">,
  clock: LocalClock,
): string {
  const marks = [...(isChange ? ["change"] : []), ...(stands ? [] : ["not found in the log any more"])];
  const marked = marks.length === 0 ? "" : ` (${marks.join("; ")})`;
  if (kind === "day" || atMs === null) {
    const [, month, day] = date.split("-").map(Number);
    return `${day} ${MONTH_NAMES[month - 1].slice(0, 3)}${marked}`;
  }
  return `${kind === "transfer" ? "Transfer" : "Dropout"} of ${formatLocalTime(atMs, clock, true)}${marked}`;
}
