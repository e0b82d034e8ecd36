import { AppError } from "../../db/app-error";
import type { NoteAnchor } from "../../db/writes/add-person-note";
import { parseTransferId, transferId } from "../_format/transfer-id";

/** What a note is about as a form carries it. @example "transfer 20260514T180233Z", "day 2026-05-14" */
export function anchorWord(about: NoteAnchor): string {
  return about.kind === "day" ? `day ${about.date}` : `${about.kind} ${transferId(about.atMs)}`;
}

/**
 * What a note is about, from a form.
 *
 * @throws AppError bad-input where it is none
 */
export function anchorOf(word: string): NoteAnchor {
  const [kind, name = "", ...rest] = word.split(" ");
  if (rest.length === 0 && kind === "day") return { kind, date: name };
  const atMs = parseTransferId(name);
  if (rest.length === 0 && atMs !== null && (kind === "transfer" || kind === "dropout")) {
    return { kind, atMs };
  }
  throw new AppError("bad-input", "Choose what the note is about: the day, or one of its events.");
}
