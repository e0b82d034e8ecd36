/**
 * Columns whose cells are whole numbers that go up by one from line to line, and whose title has no unit: they number
 * the rows.
 */
export function rowNumbers(
  rows: readonly (readonly string[])[],
  lines: readonly number[],
  titles: readonly string[],
): number[] {
  const looked = rows.slice(0, LOOKED_AT);
  const columns: number[] = [];
  for (let c = 0; c < titles.length; c++) {
    if (/[)\]}]$/.test(titles[c].trimEnd())) continue;
    let breaks = -1;
    let before = Number.NaN;
    for (const [i, cells] of looked.entries()) {
      const text = (cells[c] ?? "").trim();
      const value = /^\d{1,12}$/.test(text) ? Number(text) : Number.NaN;
      // Rows that were left out, and a header in the middle, break the row of numbers.
      if (value - before !== lines[i] - lines[i - 1] && ++breaks > 0.05 * (looked.length - 1)) break;
      before = value;
    }
    if (looked.length >= LEAST && breaks <= 0.05 * (looked.length - 1)) columns.push(c);
  }
  return columns;
}

const LOOKED_AT = 500;
/** Of fewer rows any figures may happen to go up by one. */
const LEAST = 5;
