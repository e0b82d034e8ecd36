import { cellKind } from "./cell-kind";
import { numericTime } from "./numeric-time";

/** The mark before decimals, and what says so. */
export type SniffedDecimalMark = {
  readonly mark: "." | ",";
  /** Whether the numbers could be read with either mark: a person must say. */
  readonly open: boolean;
  readonly confidence: number;
  readonly figures: { readonly [name: string]: number | string };
};

/**
 * Settles the decimal mark of a log's rows. Numbers such as 0.5, 12.25 or 1.234,5 can be read one way only.
 * 1.234 can be read in two: it is a decimal where its column also has whole numbers above 999 without a mark, and
 * a thousand where the column also has whole numbers below 1000. Where a log has nothing but such numbers, and no
 * comma between its fields that would make a comma in them unlikely, it stays open.
 */
export function sniffDecimalMark(
  rows: readonly (readonly string[])[],
  delimiter: string,
): SniffedDecimalMark {
  let sureComma = 0;
  let surePoint = 0;
  let twoWays = 0;
  let asThousands = 0;
  let asDecimals = 0;
  const seen = { ".": 0, ",": 0 };
  const width = rows[0]?.length ?? 0;
  for (let c = 0; c < width; c++) {
    // Times that are numbers may have another mark than the figures: they aren't read as figures.
    if (isNumericTime(rows, c)) continue;
    const column = { ".": 0, ",": 0 };
    let short = 0;
    let long = 0;
    for (const cells of rows) {
      const found = markOf(cells[c] ?? "");
      if (found === null) continue;
      if (found === "short") short++;
      else if (found === "long") long++;
      else if (found.sure) {
        if (found.decimal === ".") surePoint++;
        else sureComma++;
      } else column[found.decimal]++;
    }
    const both = column["."] + column[","];
    if (both === 0) continue;
    twoWays += both;
    seen["."] += column["."];
    seen[","] += column[","];
    if (long > 0) asDecimals += both;
    else if (short > 0) asThousands += both;
  }
  const figures = {
    pointForSure: surePoint,
    commaForSure: sureComma,
    eitherWay: twoWays,
  };
  if (surePoint + sureComma > 0) {
    const mark = surePoint > sureComma ? "." : ",";
    const share = Math.max(surePoint, sureComma) / (surePoint + sureComma);
    return { mark, open: share < 0.9, confidence: share, figures };
  }
  if (twoWays === 0) return { mark: ".", open: false, confidence: 1, figures };
  const written = seen["."] > 0 ? "." : ",";
  const other = written === "." ? "," : ".";
  const mixed = seen["."] > 0 && seen[","] > 0;
  if (!mixed && asThousands > 0 && asDecimals === 0) {
    return { mark: other, open: false, confidence: 0.85, figures: { ...figures, asThousands } };
  }
  if (!mixed && asDecimals > 0 && asThousands === 0) {
    return { mark: written, open: false, confidence: 0.85, figures: { ...figures, asDecimals } };
  }
  // A comma inside of fields that commas divide has to be quoted: whoever writes so rarely groups by points.
  if (!mixed && written === "." && delimiter === ",")
    return { mark: ".", open: false, confidence: 0.8, figures };
  return { mark: written, open: true, confidence: 0.5, figures };
}

function isNumericTime(rows: readonly (readonly string[])[], c: number): boolean {
  // A footer or a missing value may be any one cell; most columns are ruled out by three.
  const few = [rows.length >> 2, rows.length >> 1, rows.length - 1].map((i) => (rows[i]?.[c] ?? "").trim());
  if (few.filter((t) => /^\d{5,}/.test(t) || /^\d[.,]\d+[eE]/.test(t)).length < 2) return false;
  return numericTime(rows.map((cells) => (cells[c] ?? "").trim()).filter((t) => t !== "")) !== null;
}

const MAX_NUMBER_CHARACTERS = 80;

/** What one cell shows: a whole number under or over 1000, or a mark; null where it is no number or has none. */
function markOf(cell: string): "short" | "long" | { decimal: "." | ","; sure: boolean } | null {
  const first = cell.charCodeAt(0);
  // Cells that begin with a letter are no numbers.
  if (first > 57 && first < 128) return null;
  // Nor is what is longer than any number with its unit.
  if (cell.length > MAX_NUMBER_CHARACTERS) return null;
  const text = cell
    .trim()
    .replace(/^[-+\u2212]\s?/, "")
    .replace(/\s?[%°a-zA-Z]+$/, "");
  if (/^\d+$/.test(text)) return Number(text) === 0 ? null : text.length > 3 ? "long" : "short";
  if (!/[.,]/.test(text) || cellKind(cell) !== "number") return null;
  const points = text.split(".").length - 1;
  const commas = text.split(",").length - 1;
  if (points > 0 && commas > 0) {
    const decimal = text.lastIndexOf(".") > text.lastIndexOf(",") ? "." : ",";
    const [of, group] = decimal === "." ? [points, ","] : [commas, "."];
    const grouped = text.slice(0, text.lastIndexOf(decimal)).split(group);
    const threes = grouped.slice(1).every((g) => /^\d{3}$/.test(g)) && /^\d{1,3}$/.test(grouped[0]);
    return of === 1 && threes ? { decimal, sure: true } : null;
  }
  const mark = points > 0 ? "." : ",";
  const other = mark === "." ? "," : ".";
  if (points + commas > 1) {
    // 1,234,567: a mark that comes twice marks thousands; 1.5.2026 is a date.
    return /^\d{1,3}(?:[.,]\d{3})+$/.test(text) ? { decimal: other, sure: true } : null;
  }
  const at = text.indexOf(mark);
  const twoWays =
    text.length - at - 1 === 3 && at > 0 && at <= 3 && text[0] !== "0" && /^\d+$/.test(text.slice(at + 1));
  return { decimal: mark, sure: !twoWays };
}
