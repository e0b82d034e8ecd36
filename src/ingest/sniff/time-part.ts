import { isIanaZone } from "../../site/is-iana-zone";
import { zoneAbbreviationMs } from "../zone-abbreviation";

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
/** Names under which four bare digits with a sign are an offset and not a figure. */
const OFFSET_NAMES = names("offset tz utc gmt zone timezone utcoffset gmtoffset dst zeitzone huso fuseau");
/** Offsets and abbreviations that one column has: two of the year's clocks, and Z. */
const MOST_OFFSETS = 3;
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
  if (all(OFFSET)) return isOffset(named(OFFSET_NAMES), texts) ? "offset" : null;
  if (all(CLOCK) || (named(CLOCK_NAMES) && all(NAMED_CLOCK))) return "clock";
  if (all(DATE)) return "date";
  if (
    texts[0]?.includes("/") &&
    texts.every((t) => t.trim() === texts[0].trim()) &&
    isIanaZone(texts[0].trim())
  )
    return "zone";
  const abbreviations = partOfAbbreviations(texts);
  if (abbreviations !== null) return abbreviations;
  if (words.length > 2 || !all(/^\d{1,4}$/)) return null;
  for (const [part, known, least, most] of NUMBERS) {
    if (named(known) && texts.every((t) => t.trim() === "" || (Number(t) >= least && Number(t) <= most)))
      return part;
  }
  return null;
}

/** Offsets are those of zones, and stay the same but for clock changes; a power is neither. */
function isOffset(named: boolean, texts: readonly string[]): boolean {
  if (!staysButForChanges(texts)) return false;
  return texts.every((t) => {
    const text = t.trim();
    const match = /(\d\d)(:?)(\d\d)$/.exec(text);
    if (match === null) return true;
    const minutes = 60 * Number(match[1]) + Number(match[3]);
    const written = named || match[2] === ":" || /^[a-z]/i.test(text);
    return written && Number(match[3]) % 15 === 0 && minutes <= 14 * 60;
  });
}

/**
 * A column of zones' abbreviations: where summer's stands there each row says its offset; where only one of winter's
 * does, it may be the clock without daylight saving time or the site's, as in a header.
 */
function partOfAbbreviations(texts: readonly string[]): "offset" | "zone" | null {
  const distinct = new Set(texts.map((t) => t.trim().toUpperCase()));
  if (distinct.size > MOST_OFFSETS || !staysButForChanges(texts)) return null;
  for (const text of distinct) {
    if (text.length < 3 || Number.isNaN(zoneAbbreviationMs(text))) return null;
  }
  return distinct.size > 1 || [...distinct].some((t) => SUMMER.test(t)) ? "offset" : "zone";
}
const SUMMER = /^(?:[A-Z]DT|[A-Z]{1,2}EST|MESZ)$/;

function staysButForChanges(texts: readonly string[]): boolean {
  let changes = 0;
  for (let i = 1; i < texts.length; i++) if (texts[i].trim() !== texts[i - 1].trim()) changes++;
  return (
    changes <= Math.max(2, 0.05 * texts.length) && new Set(texts.map((t) => t.trim())).size <= MOST_OFFSETS
  );
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
