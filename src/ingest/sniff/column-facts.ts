import type { Unit } from "../../site/column-map-schema";
import { createNumberReader, type NumberReader } from "../number-reader";

/** What the cells of one column look like, over the sampled rows. */
export type ColumnFacts = {
  /** One number per sampled row; NaN where there is none. */
  readonly values: Float64Array;
  /** Part of the cells that aren't missing and are numbers. */
  readonly numeric: number;
  /** Cells that aren't missing. */
  readonly present: number;
  readonly min: number;
  readonly max: number;
  readonly median: number;
  /** Most digits after the decimal mark. */
  readonly decimals: number;
  /** The unit that stands behind most numbers of the cells that have one; `values` are in it. Null for none. */
  readonly unit: Unit | null;
  /** Distinct texts with their counts, most frequent first; null where there are more than 24. */
  readonly words: readonly (readonly [word: string, n: number])[] | null;
};

const MAX_WORDS = 24;

/** Facts of column `index` of the rows. */
export function columnFacts(
  rows: readonly (readonly string[])[],
  index: number,
  decimalMark: "." | ",",
  missing: readonly string[],
): ColumnFacts {
  const reader = createNumberReader(decimalMark, missing);
  const values = new Float64Array(rows.length);
  const counts = new Map<string, number>();
  let numbers = 0;
  let present = 0;
  let decimals = 0;
  const unit = unitOfCells(rows, index, reader);
  for (let i = 0; i < rows.length; i++) {
    const cell = rows[i][index] ?? "";
    const value = unit === null ? reader.read(cell) : reader.read(cell, unit);
    values[i] = value;
    if (Number.isNaN(value) && !reader.bad()) continue;
    present++;
    if (counts.size <= MAX_WORDS) {
      const word = cell.trim();
      counts.set(word, (counts.get(word) ?? 0) + 1);
    }
    if (Number.isNaN(value)) continue;
    numbers++;
    const mark = cell.lastIndexOf(decimalMark);
    if (mark !== -1) decimals = Math.max(decimals, digitsFrom(cell, mark + 1));
  }
  const sorted = values.filter((v) => !Number.isNaN(v)).sort();
  return {
    values,
    numeric: present === 0 ? 0 : numbers / present,
    present,
    min: sorted[0] ?? Number.NaN,
    max: sorted[sorted.length - 1] ?? Number.NaN,
    median: sorted[sorted.length >> 1] ?? Number.NaN,
    decimals,
    unit,
    words: counts.size > MAX_WORDS ? null : [...counts].sort((a, b) => b[1] - a[1]),
  };
}

/** Rows that are looked at for units. */
const UNIT_ROWS = 200;

/** The commonest unit in the cells of a column, where half of its numbers have one; else null. */
function unitOfCells(rows: readonly (readonly string[])[], index: number, reader: NumberReader): Unit | null {
  const counts = new Map<Unit, number>();
  let bare = 0;
  const every = Math.ceil(rows.length / UNIT_ROWS);
  for (let i = 0; i < rows.length; i += every) {
    const cell = rows[i][index] ?? "";
    const last = cell.charCodeAt(cell.length - 1);
    if (last >= 48 && last <= 57) {
      bare++;
      continue;
    }
    reader.read(cell);
    const unit = reader.unit();
    if (unit !== null) counts.set(unit, (counts.get(unit) ?? 0) + 1);
  }
  const [unit, n] = [...counts].sort((a, b) => b[1] - a[1])[0] ?? [null, 0];
  return n >= bare ? unit : null;
}

function digitsFrom(cell: string, from: number): number {
  let n = 0;
  while (cell.charCodeAt(from + n) >= 48 && cell.charCodeAt(from + n) <= 57) n++;
  return n;
}
