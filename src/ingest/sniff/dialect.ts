import type { DELIMITERS } from "../../site/column-map-schema";
import { createRecordReader } from "../record-reader";
import { cellKind } from "./cell-kind";
import { type SniffedDecimalMark, sniffDecimalMark } from "./decimal-mark";

/** A mark that stands between fields. */
export type Delimiter = (typeof DELIMITERS)[number];

/** How the text of a log is cut into fields, and how its numbers are written. */
export type Dialect = {
  readonly delimiter: Delimiter;
  /** "\n" stands for LF and CRLF. */
  readonly newline: "\n" | "\r";
  readonly decimalMark: "." | ",";
  /** Whether the numbers could be read with either mark. */
  readonly decimalOpen: boolean;
  /** Fields in most rows. */
  readonly columns: number;
  readonly delimiterConfidence: number;
  readonly decimalConfidence: number;
  readonly figures: { readonly [name: string]: number | string };
  readonly decimalFigures: { readonly [name: string]: number | string };
};

const ALL: readonly Delimiter[] = [",", ";", "\t", "|"];
const ROWS = 400;
const MAX_WORD = 60;

/**
 * Settles delimiter, line end and decimal mark from the first lines of a log. A delimiter is as good as the
 * part of rows, from the first such row on, that have the same number of fields, times the part of fields that
 * are a number, a time, a word or nothing. Lines above a table take no part, whatever stands in them. Null where
 * no delimiter gives two columns.
 *
 * @param given choices of a column map, which are not looked into
 */
export function sniffDialect(
  head: string,
  given: { readonly delimiter?: Delimiter; readonly decimalMark?: "." | "," } = {},
): Dialect | null {
  const newline = lineEnd(head);
  const stated = given.delimiter ?? statedDelimiter(head);
  let best: Candidate | null = null;
  let secondScore = 0;
  for (const delimiter of stated === null ? ALL : [stated]) {
    const candidate = tryDelimiter(head, delimiter, newline);
    if (candidate === null) continue;
    if (best === null || candidate.score > best.score + 1e-9) {
      secondScore = best?.score ?? 0;
      best = candidate;
    } else if (candidate.score > secondScore) {
      secondScore = candidate.score;
    }
  }
  if (best === null) return null;
  const decimal: SniffedDecimalMark =
    given.decimalMark === undefined
      ? sniffDecimalMark(best.rows, best.delimiter)
      : { mark: given.decimalMark, open: false, confidence: 1, figures: {} };
  return {
    delimiter: best.delimiter,
    newline,
    decimalMark: decimal.mark,
    decimalOpen: decimal.open,
    columns: best.columns,
    delimiterConfidence: stated === null ? Math.min(1, best.score * (1 - secondScore / 2)) : 1,
    decimalConfidence: decimal.confidence,
    figures: {
      rows: best.rows.length,
      columns: best.columns,
      score: round(best.score),
      secondScore: round(secondScore),
    },
    decimalFigures: decimal.figures,
  };
}

type Candidate = {
  readonly delimiter: Delimiter;
  readonly score: number;
  readonly columns: number;
  /** Rows with that many fields. */
  readonly rows: readonly string[][];
};

/** CR where it ends more lines by itself than LF does: a quoted field may hold the other one. */
function lineEnd(head: string): "\n" | "\r" {
  const looked = head.slice(0, LOOKED_AT);
  const feeds = looked.split("\n").length;
  const alone = looked.replaceAll("\r\n", "").split("\r").length;
  return alone > feeds ? "\r" : "\n";
}

const LOOKED_AT = 65_536;

/** "sep=;" in the first line, which spreadsheets write. */
function statedDelimiter(head: string): Delimiter | null {
  const mark = /^\ufeff?"?sep=(.)"?\s*[\r\n]/i.exec(head.slice(0, 20))?.[1];
  return ALL.find((delimiter) => delimiter === mark) ?? null;
}

function tryDelimiter(head: string, delimiter: Delimiter, newline: "\n" | "\r"): Candidate | null {
  const rows = firstRows(head, delimiter, newline);
  const columns = tableWidth(rows) ?? commonCount(rows);
  if (columns < 2) return null;
  const begin = rows.findIndex((r) => r.length === columns);
  const same = rows.filter((r) => r.length === columns);
  let plain = 0;
  for (const row of same) for (const cell of row) if (isPlainField(cell, delimiter)) plain++;
  const score = (same.length / (rows.length - begin)) * (plain / (same.length * columns));
  return { delimiter, score, columns, rows: same };
}

function firstRows(head: string, delimiter: string, newline: "\n" | "\r"): string[][] {
  let end = 0;
  for (let n = 0; n < ROWS; n++) {
    const next = head.indexOf(newline, end);
    if (next === -1) break;
    end = next + 1;
  }
  const reader = createRecordReader({ delimiter, newline, columns: null });
  const text = end === 0 ? head : head.slice(0, end);
  const rows = [...reader.push(text).rows, ...reader.end().rows];
  return rows.filter((r) => r.length > 1 || r[0].trim() !== "");
}

/**
 * Fields of the first rows that follow one another as those of a log do: equally many, with a time in the same
 * place. A log whose columns become others later on begins there all the same. Null where no rows do.
 */
function tableWidth(rows: readonly string[][]): number | null {
  for (let from = 0; from + RUN <= rows.length; from++) {
    const run = rows.slice(from, from + RUN);
    const width = run[0].length;
    if (width < 2 || run.some((cells) => cells.length !== width)) continue;
    for (let c = 0; c < width; c++) {
      if (run.every((cells) => cellKind(cells[c]) === "time")) return width;
    }
  }
  return null;
}

const RUN = 4;

/** The count of fields, two at least, that most rows have; of equal ones the greater. */
function commonCount(rows: readonly string[][]): number {
  const counts = new Map<number, number>();
  for (const row of rows) if (row.length > 1) counts.set(row.length, (counts.get(row.length) ?? 0) + 1);
  let best = 0;
  let most = 0;
  for (const [count, n] of counts) {
    if (n > most || (n === most && count > best)) {
      best = count;
      most = n;
    }
  }
  return best;
}

function isPlainField(cell: string, delimiter: Delimiter): boolean {
  const text = cell.trim();
  for (const other of ALL) if (other !== delimiter && other !== "," && text.includes(other)) return false;
  if (text.length > MAX_WORD) return false;
  // "May 5, 2026" is a text; "12.5,13.5" is two fields.
  return !text.includes(",") || cellKind(text) !== "text" || !/,\S/.test(text);
}

function round(value: number): number {
  return Math.round(value * 1000) / 1000;
}
