import type { ColumnFacts } from "./column-facts";
import { headerWords } from "./header-words";
import { type SniffedTimeForm, sniffTimeForm } from "./time-form";

/** The column, or the two columns, that hold the time of the samples. */
export type SniffedTimeColumn = {
  /** Empty where no column holds times. */
  readonly columns: readonly number[];
  readonly form: SniffedTimeForm;
  readonly confidence: number;
  /** Every column that holds times or parts of them: none of them is a channel. */
  readonly all: readonly number[];
};

const TIME_WORDS = new Set(
  "time date datetime timestamp stamp when ts utc fecha hora datum zeit uhrzeit zeitstempel heure horodatage epoch clock".split(
    " ",
  ),
);

/**
 * Finds the time column: times in nearly all cells, in a column that moves from row to row. Of several the
 * one that states its offset or UTC wins, then the one with a name for it, then the first. A date and a time
 * of day in two columns belong together.
 */
export function sniffTimeColumn(
  names: readonly string[],
  rows: readonly (readonly string[])[],
  facts: readonly ColumnFacts[],
): SniffedTimeColumn {
  const found: { columns: number[]; form: SniffedTimeForm; rank: number }[] = [];
  const dates: number[] = [];
  const clocks: number[] = [];
  const all: number[] = [];
  for (let index = 0; index < names.length; index++) {
    const texts = rows.map((cells) => cells[index] ?? "").filter((t) => t.trim() !== "");
    if (texts.length < 0.5 * rows.length || texts.length === 0) continue;
    const named = headerWords(names[index]).words.some((w) => TIME_WORDS.has(w));
    if (
      share(texts, /^\s*\d{1,2}[:.]\d{2}([:.]\d{2}([.,]\d+)?)?(\s?[ap]\.?m\.?)?\s*$/i) > 0.9 &&
      (named || texts[0].includes(":"))
    ) {
      clocks.push(index);
      all.push(index);
      continue;
    }
    if (share(texts, /^\s*\d{1,4}[./-](\d{1,2}|\p{L}+)[./-]\d{1,4}\.?\s*$/u) > 0.9) {
      dates.push(index);
      all.push(index);
      continue;
    }
    const form = sniffTimeForm(texts);
    if (form.format === null && form.order === "settled") continue;
    if (form.format?.startsWith("epoch") && !(named && rises(facts[index].values)) && index > 0) continue;
    all.push(index);
    const stated = share(texts, /(Z|[+-]\d\d:?\d\d)(\[.*\])?\s*$/i) > 0.9 || form.format?.startsWith("epoch");
    const utc = /\b(utc|gmt)\b/i.test(names[index]);
    found.push({ columns: [index], form, rank: (stated || utc ? 4 : 0) + (named ? 2 : 0) });
  }
  if (found.length === 0 && dates.length > 0) {
    const columns = clocks.length > 0 ? [dates[0], clocks[0]] : [dates[0]];
    const form = sniffTimeForm(rows.map((cells) => columns.map((c) => cells[c] ?? "").join(" ")));
    return { columns, form, confidence: columns.length === 2 ? 0.9 : 0.6, all };
  }
  found.sort((a, b) => b.rank - a.rank || a.columns[0] - b.columns[0]);
  if (found.length === 0) return { columns: [], form: sniffTimeForm([]), confidence: 0, all };
  const confidence = found.length === 1 || found[0].rank > found[1].rank ? 0.95 : 0.75;
  return { columns: found[0].columns, form: found[0].form, confidence, all };
}

function share(texts: readonly string[], pattern: RegExp): number {
  return texts.filter((t) => pattern.test(t)).length / texts.length;
}

function rises(values: Float64Array): boolean {
  let up = 0;
  let down = 0;
  for (let i = 1; i < values.length; i++) {
    if (values[i] > values[i - 1]) up++;
    else if (values[i] < values[i - 1]) down++;
  }
  return Math.max(up, down) > 0.9 * (up + down) && up + down > 0.5 * values.length;
}
