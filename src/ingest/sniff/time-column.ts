import type { ColumnFacts } from "./column-facts";
import type { KnownDays } from "./day-order";
import { type SniffedTimeForm, sniffTimeForm } from "./time-form";
import { nameWords, type TimePart, timePart } from "./time-part";

/** The columns that hold the time of the samples. */
export type SniffedTimeColumn = {
  /** Empty where no column holds times. */
  readonly columns: readonly number[];
  readonly form: SniffedTimeForm;
  readonly confidence: number;
  /** Every column that holds times or parts of them: none of them is a channel. */
  readonly all: readonly number[];
  /** Other columns that each hold whole times, with their forms: to be held against the chosen one. */
  readonly others: readonly { readonly column: number; readonly form: SniffedTimeForm }[];
  /** Columns that hold times of day and no column holds dates. */
  readonly lacks: "date" | "clock" | null;
  /** A column of one IANA zone. */
  readonly zone: number;
};

const TIME_WORDS = words(
  "time times date datetime timestamp stamp when ts utc gmt fecha hora datum zeit uhrzeit zeitstempel zeitpunkt heure horodatage epoch clock day dia tag jour moment",
);
/** Names of the first of two columns of an interval, and of the second. */
const START_WORDS = words("start starts begin beginning from desde von ab debut inicio anfang beginn");
const END_WORDS = words("end ends ending until to bis hasta fin ende jusqu");
const LOOKED_AT = 100;

/**
 * Finds the time columns: times in nearly all cells, in a column that moves from row to row. Of several the
 * one that states its offset or UTC wins, then the one with a name for it, then the start of an interval over its
 * end, then the first. A date and a time of day in two columns belong together, with am or pm, and offsets, in
 * columns of their own; so do numbers for year, month, day, hour, minute under such names.
 */
export function sniffTimeColumn(
  names: readonly string[],
  rows: readonly (readonly string[])[],
  facts: readonly ColumnFacts[],
  known: KnownDays = {},
): SniffedTimeColumn {
  const found: { column: number; form: SniffedTimeForm; rank: number }[] = [];
  const parts = new Map<TimePart, number[]>();
  const all: number[] = [];
  for (let index = 0; index < names.length; index++) {
    const texts = rows.map((cells) => cells[index] ?? "").filter((t) => t !== "" && t.trim() !== "");
    if (texts.length < 0.5 * rows.length || texts.length === 0) continue;
    const named = nameWords(names[index]).some((w) => TIME_WORDS.has(w));
    const part = timePart(names[index], spread(texts));
    if (part !== null && !(part === "date" && !named && facts[index].numeric > 0.9)) {
      parts.set(part, [...(parts.get(part) ?? []), index]);
      if (!["month", "day", "minute", "second"].includes(part)) all.push(index);
      continue;
    }
    const form = sniffTimeForm(texts, known);
    if (form.format === null && form.order === "settled") continue;
    const numeric = form.format !== null && /^(epoch|spreadsheet)/.test(form.format);
    if (numeric && !runs(facts[index].values) && !(named && form.format !== "spreadsheet-day")) continue;
    all.push(index);
    found.push({ column: index, form, rank: rankOf(names[index], form, texts, named) });
  }
  found.sort((a, b) => b.rank - a.rank || a.column - b.column);
  const zone = parts.get("zone")?.[0] ?? -1;
  const [first] = found;
  if (first !== undefined) {
    const more = [parts.get("half")?.[0], statesOffset(first.form) ? undefined : parts.get("offset")?.[0]];
    const columns = [first.column, ...more.filter((c) => c !== undefined)];
    const form = columns.length === 1 ? first.form : formOf(rows, columns, known);
    // Where the parts don't go together the column stands by itself.
    const joined = form.format !== null || form.order === "open" || first.form.format === null;
    const confidence = found.length === 1 || first.rank > found[1].rank ? 0.95 : 0.75;
    const others = found.slice(1).map(({ column, form: other }) => ({ column, form: other }));
    return {
      columns: joined ? columns : [first.column],
      form: joined ? form : first.form,
      confidence,
      all: [...all, ...columns],
      others,
      lacks: null,
      zone,
    };
  }
  return joinParts(names, rows, parts, all, known, zone);
}

function joinParts(
  names: readonly string[],
  rows: readonly (readonly string[])[],
  parts: ReadonlyMap<TimePart, readonly number[]>,
  all: readonly number[],
  known: KnownDays,
  zone: number,
): SniffedTimeColumn {
  const one = (part: TimePart) => parts.get(part)?.slice(0, 1) ?? [];
  const dates = parts.get("date") ?? [];
  const clocks = parts.get("clock") ?? [];
  const three = [...one("year"), ...one("month"), ...one("day")];
  const date = dates.length > 0 ? [preferred(names, dates)] : three.length === 3 ? three : [];
  const hours = [...one("hour"), ...(one("hour").length > 0 ? one("minute") : [])];
  const seconds = hours.length === 2 ? one("second") : [];
  const clock = clocks.length > 0 ? [preferred(names, clocks)] : [...hours, ...seconds];
  const columns = [...date, ...clock, ...one("half"), ...one("offset")];
  const lacks = date.length === 0 ? "date" : clock.length === 0 ? "clock" : null;
  const none = { others: [], zone, all: [...new Set([...all, ...columns])] };
  if (clocks.length === 0 && date.length === 0) {
    return { ...none, columns: [], form: sniffTimeForm([]), confidence: 0, lacks: null, all };
  }
  // Times of day are read with any date before them: which one is asked for.
  const form = formOf(rows, columns, known, lacks === "date" ? "2001-01-01 " : "");
  return { ...none, columns, form, confidence: lacks === null ? 0.9 : 0.6, lacks };
}

/** Form of the texts of several columns, joined by spaces. */
function formOf(
  rows: readonly (readonly string[])[],
  columns: readonly number[],
  known: KnownDays,
  before = "",
): SniffedTimeForm {
  const filled = rows.filter((cells) => columns.some((c) => (cells[c] ?? "").trim() !== ""));
  return sniffTimeForm(
    filled.map((cells) => before + columns.map((c) => (cells[c] ?? "").trim()).join(" ")),
    known,
  );
}

function rankOf(name: string, form: SniffedTimeForm, texts: readonly string[], named: boolean): number {
  const stated = statesOffset(form) || share(texts, /(Z|[+-]\d\d:?\d\d)(\[.*\])?\s*$/i) > 0.9;
  const own = nameWords(name);
  const utc = own.includes("utc") || own.includes("gmt");
  const start = own.some((w) => START_WORDS.has(w)) ? 0.5 : own.some((w) => END_WORDS.has(w)) ? -0.5 : 0;
  return (
    (stated || utc ? 4 : 0) + (named ? 2 : 0) + start + (form.format?.startsWith("spreadsheet") ? -3 : 0)
  );
}

function statesOffset(form: SniffedTimeForm): boolean {
  return form.format !== null && (form.format.startsWith("epoch") || /X|zzz/.test(form.format));
}

/** Of two columns of the same part the start of the interval, else the first. */
function preferred(names: readonly string[], columns: readonly number[]): number {
  return columns.find((c) => nameWords(names[c]).some((w) => START_WORDS.has(w))) ?? columns[0];
}

function share(texts: readonly string[], pattern: RegExp): number {
  return texts.filter((t) => pattern.test(t)).length / texts.length;
}

/** Whether numbers go one way in most rows, as times do. */
function runs(values: Float64Array): boolean {
  let up = 0;
  let down = 0;
  for (let i = 1; i < values.length; i++) {
    if (values[i] > values[i - 1]) up++;
    else if (values[i] < values[i - 1]) down++;
  }
  return Math.max(up, down) > 0.9 * (up + down) && up + down > 0.5 * values.length;
}

function spread(texts: readonly string[]): readonly string[] {
  if (texts.length <= LOOKED_AT) return texts;
  return Array.from({ length: LOOKED_AT }, (_, i) => texts[Math.floor((i * texts.length) / LOOKED_AT)]);
}

function words(list: string): ReadonlySet<string> {
  return new Set(list.split(" "));
}
