import type { ColumnRef } from "../site/column-map-schema";

/** What a log looks like, by which later logs of the same logger are recognised. */
export type FileShape = {
  /** Header names as `sameName` compares them, in order; null for a log without a header. */
  readonly names: readonly string[] | null;
  /** Kind of each column of a log without a header; null where there is one. */
  readonly kinds: readonly ColumnKind[] | null;
  readonly delimiter: string;
  readonly decimalMark: string;
  /** How its times are written, digits as d and letters as a: "dddd-d-d d:d:d". */
  readonly timeForm: string;
};

/** What the cells of a column are; `empty` where none of the rows has any. */
export type ColumnKind = "time" | "number" | "text" | "empty";

/** The head of a log as far as its shape hangs on it. */
export type ShapedHead = {
  readonly names: readonly string[];
  readonly hasHeader: boolean;
  readonly delimiter: string;
  readonly decimalMark: string;
  /** Some rows under the header. */
  readonly rows: readonly (readonly string[])[];
};

/**
 * The shape of a log whose times stand in `timeColumn`. Nothing of it hangs on the values: not on the days that the
 * log covers, nor on how large its figures are.
 *
 * @example logShape(head, "Stamp").timeForm // "dddd-d-d d:d:d" of 2026-05-01 00:00:00
 */
export function logShape(head: ShapedHead, timeColumn: ColumnRef | readonly ColumnRef[]): FileShape {
  const { names, hasHeader, delimiter, decimalMark } = head;
  const rows = head.rows.slice(0, SHAPE_ROWS);
  const refs = Array.isArray(timeColumn) ? (timeColumn as ColumnRef[]) : [timeColumn as ColumnRef];
  const time = refs.map((ref) => columnAt(names, ref));
  return {
    names: hasHeader ? names.map(sameName) : null,
    kinds: hasHeader ? null : names.map((_, at) => (time.includes(at) ? "time" : kindOf(rows, at))),
    delimiter,
    decimalMark,
    timeForm: commonest(rows.map((cells) => time.map((at) => timeForm(cells[at] ?? "")).join(" + "))),
  };
}

/** Whether two logs look the same: names in their order, delimiter, decimal mark and how times are written. */
export function sameShape(a: FileShape, b: FileShape): boolean {
  if (a.delimiter !== b.delimiter || a.decimalMark !== b.decimalMark || a.timeForm !== b.timeForm)
    return false;
  if (a.names !== null || b.names !== null) return a.names?.join("\n") === b.names?.join("\n");
  return (
    a.kinds?.length === b.kinds?.length &&
    // A column that happens to be empty says nothing.
    a.kinds?.every((kind, at) => kind === "empty" || b.kinds?.[at] === "empty" || kind === b.kinds?.[at]) ===
      true
  );
}

/** A header name as names are compared: without case, and white space as one blank. */
export function sameName(name: string): string {
  return name.normalize("NFC").trim().replace(/\s+/g, " ").toLowerCase();
}

/** Index from 0 of the column that a map names; -1 where there is none. */
export function columnAt(names: readonly string[], ref: ColumnRef): number {
  if (typeof ref === "number") return ref <= names.length ? ref - 1 : -1;
  const exact = names.indexOf(ref);
  return exact >= 0 ? exact : names.findIndex((name) => sameName(name) === sameName(ref));
}

/** Rows that the form of the times and the kinds of the columns are taken from. */
const SHAPE_ROWS = 200;

/**
 * One or two digits are one thing, since hours and days are written with or without a zero, and a fraction of a
 * second is there or not as it falls.
 */
function timeForm(cell: string): string {
  return cell
    .trim()
    .replace(/(:\d{1,2}[.,])\d+|(\d{5})[.,]\d+$/, (whole) => whole.replace(/[.,]\d+$/, ""))
    .replace(/\p{L}+/gu, "a")
    .replace(/\d+/g, ({ length }) => (length <= 2 ? "d" : "d".repeat(Math.min(length, 14))));
}

function kindOf(rows: readonly (readonly string[])[], at: number): ColumnKind {
  const cells = rows.map((row) => (row[at] ?? "").trim()).filter((cell) => /[\p{L}\d]/u.test(cell));
  if (cells.length === 0) return "empty";
  const numbers = cells.filter((cell) => /^[-+]?[\d.,' ]*\d(?:[eE][-+]?\d+)?$/.test(cell)).length;
  return numbers * 2 > cells.length ? "number" : "text";
}

function commonest(texts: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const text of texts) if (text.trim() !== "") counts.set(text, (counts.get(text) ?? 0) + 1);
  let best = "";
  for (const [text, count] of counts) if (best === "" || count > (counts.get(best) ?? 0)) best = text;
  return best;
}
