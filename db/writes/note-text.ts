import { AppError } from "../app-error";
import { MAX_NOTE_CHARACTERS } from "../schema/person-note";

/**
 * The text of a person's note as it is kept: lines end in LF, control characters are left out, nothing stands around it.
 *
 * @throws AppError bad-input where nothing is left, or more than MAX_NOTE_CHARACTERS
 */
export function noteText(typed: string): string {
  const text = typed
    .replaceAll(/\r\n?/g, "\n")
    .replaceAll(/[^\P{Cc}\n\t]/gu, "")
    .replaceAll(/\p{Surrogate}/gu, "\ufffd")
    .trim();
  // As PostgreSQL counts them: code points.
  const characters = Array.from(text).length;
  if (characters === 0) {
    throw new AppError("bad-input", "The note has no text. Write what happened, or leave it.");
  }
  if (characters > MAX_NOTE_CHARACTERS) {
    throw new AppError(
      "bad-input",
      `The note has ${characters} characters; at most ${MAX_NOTE_CHARACTERS} are kept. Shorten it, or write a second one.`,
    );
  }
  return text;
}
