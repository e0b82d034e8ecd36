/** What the text of a cell could be, whatever its column is. */
export type CellKind = "empty" | "number" | "time" | "text";

/** A number in any spelling: sign, marks, exponent, and a unit behind it. */
const NUMBER =
  /^[-+\u2212]?\s?(?:\d[\d.,'’\u00a0\u2009\u202f ]*|[.,]\d+)(?:[eE][-+]?\d{1,3})?\s?(?:%|°?[CF]|[kMm]?(?:W|Wh|VA|VAh|A|Ah|V|var)|Hz)?$/;
const TIME =
  /^(?:\p{L}{2,12}\.?,?\s+)?(?:\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|\d{1,4}[-./ ]{1,2}(?:de )?\p{L}{3,12}\.?,?[-./ ]{1,2}(?:de )?\d{2,4}|\p{L}{3,12}\.? \d{1,2},? \d{4}|\d{8})(?:\D.*)?$|^\d{1,2}[:h]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?\s?(?:[ap]\.?\s?m\.?)?$/iu;
const MISSING = /^(?:-+|nan|na|n\/a|null|none)?$/i;

/** The kind of one cell. A word for a missing value counts as empty. */
export function cellKind(cell: string): CellKind {
  const text = cell.trim();
  if (MISSING.test(text)) return "empty";
  const first = text.charCodeAt(0);
  // Most cells are plain numbers, and most texts begin with a letter.
  if (NUMBER.test(text)) return "number";
  if (text.length <= 64 && (first < 58 || /\d/.test(text)) && TIME.test(text)) return "time";
  return "text";
}
