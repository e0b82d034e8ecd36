import { isIanaZone } from "../../site/is-iana-zone";

/** What part of a time a column holds by itself. */
export type TimePart =
  | "date"
  | "clock"
  | "half"
  | "offset"
  | "zone"
  | "year"
  | "month"
  | "day"
  | "hour"
  | "minute"
  | "second";

const DATE =
  /^(?:\p{L}{2,12}\.?,?\s+)?(?:\d{1,4}\s?[./-]\s?(?:\d{1,2}|\p{L}{3,12}\.?)\s?[./-]\s?\d{1,4}\.?|\d{1,2}\.?\s(?:de\s)?\p{L}{3,12}\.?,?\s(?:del?\s)?\d{4}|\p{L}{3,12}\.?\s\d{1,2},?\s\d{4}|20\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01]))$/u;
const CLOCK = /^\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s?(?:[ap]\.?\s?m\.?)?$/i;
/** Times of day that other figures can look like: only under a name that says so. */
const NAMED_CLOCK =
  /^(?:[01]?\d|2[0-4])[.h][0-5]\d(?:[.m][0-5]\ds?)?$|^(?:[01]\d|2[0-3])[0-5]\d(?:[0-5]\d)?$/;
const HALF = /^[ap]\.?\s?m\.?$/i;
const OFFSET = /^(?:Z|(?:UTC|GMT)?[+\-\u2212]\d{2}:?\d{2})$/i;
const CLOCK_NAMES = names("time clock hour hora zeit uhrzeit heure hhmm hhmmss tod");
const NUMBERS: readonly (readonly [
  part: TimePart,
  named: ReadonlySet<string>,
  least: number,
  most: number,
])[] = [
  ["year", names("year yr ano jahr annee yyyy"), 2000, 2099],
  ["month", names("month mon mes monat mois"), 1, 12],
  ["day", names("day dom dia tag jour dd"), 1, 31],
  ["hour", names("hour hours hr hrs hh h hora stunde std heure"), 0, 24],
  ["minute", names("minute minutes min mins minuto minuten"), 0, 59],
  ["second", names("second seconds sec secs ss segundo sekunde sekunden seconde"), 0, 59],
];

/** The part that the cells of a column are, by their looks and, for bare numbers, its name; null for none. */
export function timePart(name: string, texts: readonly string[]): TimePart | null {
  const all = (pattern: RegExp) => nearlyAll(texts, pattern);
  const words = nameWords(name);
  const named = (known: ReadonlySet<string>) => words.some((w) => known.has(w));
  if (all(HALF)) return "half";
  if (all(OFFSET)) return "offset";
  if (all(CLOCK) || (named(CLOCK_NAMES) && all(NAMED_CLOCK))) return "clock";
  if (all(DATE)) return "date";
  if (
    texts[0]?.includes("/") &&
    texts.every((t) => t.trim() === texts[0].trim()) &&
    isIanaZone(texts[0].trim())
  )
    return "zone";
  if (words.length > 2 || !all(/^\d{1,4}$/)) return null;
  for (const [part, known, least, most] of NUMBERS) {
    if (named(known) && texts.every((t) => t.trim() === "" || (Number(t) >= least && Number(t) <= most)))
      return part;
  }
  return null;
}

/** Whether over nine tenths of the texts are so. */
function nearlyAll(texts: readonly string[], pattern: RegExp): boolean {
  let others = 0;
  for (const text of texts) {
    if (!pattern.test(text.trim()) && ++others >= 0.1 * texts.length) return false;
  }
  return texts.length > 0;
}

/** The words of a column's name, in lower case without accents. */
export function nameWords(name: string): string[] {
  return name
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .normalize("NFD")
    .replace(/\p{M}/gu, "")
    .split(/[^\p{L}]+/u)
    .filter((w) => w !== "");
}

function names(list: string): ReadonlySet<string> {
  return new Set(list.split(" "));
}
