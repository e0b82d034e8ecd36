import { createNumberReader } from "../number-reader";

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
  for (let i = 0; i < rows.length; i++) {
    const cell = rows[i][index] ?? "";
    const value = reader.read(cell);
    values[i] = value;
    if (Number.isNaN(value) && !reader.bad()) continue;
    present++;
    if (counts.size <= MAX_WORDS) counts.set(cell.trim(), (counts.get(cell.trim()) ?? 0) + 1);
    if (Number.isNaN(value)) continue;
    numbers++;
    const mark = cell.lastIndexOf(decimalMark);
    if (mark !== -1) decimals = Math.max(decimals, cell.trimEnd().length - mark - 1);
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
    words: counts.size > MAX_WORDS ? null : [...counts].sort((a, b) => b[1] - a[1]),
  };
}
