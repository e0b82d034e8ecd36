import { parseIsoTime, type WrittenTime } from "../parse-iso-time";

/** Where a log's header stands, and what its columns are called. */
export type SniffedHeader = {
  /** Row of the head that is the header; -1 where the log has none. */
  readonly row: number;
  /** Trimmed; "1", "2" … where there is no header. */
  readonly names: readonly string[];
  readonly confidence: number;
};

const SEARCHED_ROWS = 60;

/**
 * Finds the header among the first rows: the first row as wide as most that holds texts and no figures.
 * Lines above it (a title, the logger's name) are no records. Where `known` names are given, the first row
 * that has one of them is the header. Null where no row is as wide as `columns`.
 */
export function sniffHeader(
  rows: readonly string[][],
  columns: number,
  known: readonly string[],
): SniffedHeader | null {
  const searched = rows.slice(0, SEARCHED_ROWS);
  const wanted = new Set(known.map((n) => n.trim().toLowerCase()));
  if (wanted.size > 0) {
    const row = searched.findIndex((cells) => cells.some((c) => wanted.has(c.trim().toLowerCase())));
    if (row !== -1) return { row, names: namesOf(searched[row]), confidence: 1 };
  }
  const row = searched.findIndex((cells) => cells.length >= columns);
  if (row === -1) return null;
  const figures = searched[row].filter(isFigure).length;
  const texts = searched[row].filter((c) => c.trim() !== "" && !isFigure(c)).length;
  if (figures === 0 && texts > 0) return { row, names: namesOf(searched[row]), confidence: 0.95 };
  if (texts > figures) return { row, names: namesOf(searched[row]), confidence: 0.6 };
  return { row: -1, names: searched[row].map((_, i) => String(i + 1)), confidence: 0.9 };
}

const scratch: WrittenTime = { wallMs: 0, offsetMs: Number.NaN, zone: null };

function isFigure(cell: string): boolean {
  const text = cell.trim();
  if (/^[-+]?[\d.,]*\d[\d.,]*(?:[eE][-+]?\d+)?$/.test(text)) return true;
  return parseIsoTime(text, scratch) || /^\d{1,4}[./-]\d{1,2}[./-]\d{1,4}([ T,]|$)/.test(text);
}

function namesOf(cells: readonly string[]): string[] {
  const names = cells.map((c) => c.trim());
  // Trailing delimiters make columns without a name or a value.
  while (names.length > 1 && names[names.length - 1] === "") names.pop();
  return names;
}
