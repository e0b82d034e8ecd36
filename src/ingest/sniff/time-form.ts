import { parseTimePattern } from "../../site/parse-time-pattern";
import { parseIsoTime, type WrittenTime } from "../parse-iso-time";
import { parsePatternTime } from "../parse-pattern-time";
import { type KnownDays, type ReadTimes, settleDayOrder } from "./day-order";
import { numericTime } from "./numeric-time";
import { timePatterns } from "./time-patterns";

/** The form of a log's times. */
export type SniffedTimeForm = {
  /** "auto" (ISO 8601), a number's form or a CLDR pattern; null where none fits, or two do. */
  readonly format: string | null;
  /**
   * "open" where day and month could each come first in every time seen; "half" where hours of twelve stand without
   * am or pm; "cut" where numbers are rounded so far that rows have the same time.
   */
  readonly order: "settled" | "open" | "half" | "cut";
  readonly candidates: readonly string[];
  readonly example: string;
  readonly confidence: number;
  /** Part of the texts seen that the form fits. */
  readonly share: number;
  readonly figures: { readonly [name: string]: number | string };
  /** Most decimals, of numbers. */
  readonly decimals: number;
};

const SEEN = 2000;
const MIN_SHARE = 0.8;

/**
 * Settles the form of times from texts in the order of the log. Where numbers stand for day and month and no text
 * has one above 12, their order is settled by how time goes on in the log and by what else is known of its days
 * (`settleDayOrder`); where nothing shows it, it stays open: a person must say.
 */
export function sniffTimeForm(texts: readonly string[], known: KnownDays = {}): SniffedTimeForm {
  const seen = spread(texts.filter((t) => t.trim() !== ""));
  const example = seen[0] ?? "";
  const none: SniffedTimeForm = {
    format: null,
    order: "settled",
    candidates: [],
    example,
    confidence: 0,
    share: 0,
    figures: {},
    decimals: 0,
  };
  if (seen.length === 0) return none;
  // Most columns are no times: a few texts tell.
  const few = seen.filter((_, i) => i % Math.ceil(seen.length / 40) === 0);
  const number = numericTime(few) === null ? null : numericTime(seen);
  if (number !== null) {
    const { format, share, decimals, cut } = number;
    if (cut) return { ...none, order: "cut", share };
    return { ...none, format, confidence: format === "spreadsheet-day" ? 0.9 : 0.98, share, decimals };
  }
  if (few.filter(couldBeTime).length < 0.5 * few.length) return none;
  const iso = seen.filter((t) => parseIsoTime(t, scratch)).length / seen.length;
  if (iso >= MIN_SHARE) return { ...none, format: "auto", confidence: iso, share: iso };
  return sniffPattern(seen, none, known);
}

const scratch: WrittenTime = { wallMs: 0, offsetMs: Number.NaN, zone: null };

function couldBeTime(text: string): boolean {
  return /^\d{8}/.test(text) || /\d[-/.:\s]\s?(?:\d|\p{L})/u.test(text);
}

function sniffPattern(seen: readonly string[], none: SniffedTimeForm, known: KnownDays): SniffedTimeForm {
  const { example } = none;
  const longest = seen.reduce((a, b) => (b.length > a.length ? b : a), example);
  const fits: (ReadTimes & { share: number })[] = [];
  for (const format of new Set([...timePatterns(example, seen), ...timePatterns(longest, seen)])) {
    const parsed = parseTimePattern(format);
    if (!parsed.ok) continue;
    const walls = seen.map((text) =>
      parsePatternTime(text, parsed.parts, scratch) ? scratch.wallMs : Number.NaN,
    );
    const share = walls.filter((w) => !Number.isNaN(w)).length / seen.length;
    fits.push({ format, share, walls });
  }
  const best = Math.max(0, ...fits.map((f) => f.share));
  if (best < MIN_SHARE) return { ...none, share: best };
  const equal = distinctReadings(fits.filter((f) => f.share >= best - 1e-9));
  const settled =
    equal.length === 1
      ? { at: 0, confidence: best, figures: fits.length > 1 ? { fitsOtherwise: otherShare(fits, best) } : {} }
      : settleDayOrder(equal, known);
  if (settled === null) {
    return { ...none, order: "open", candidates: equal.map((f) => f.format), share: best };
  }
  const { format, walls } = equal[settled.at];
  if (!format.includes("a") && lacksHalf(walls)) {
    return { ...none, order: "half", share: best };
  }
  return { ...none, format, confidence: settled.confidence, share: best, figures: settled.figures };
}

/** Patterns that read every text to the same time count once. */
function distinctReadings(fits: readonly (ReadTimes & { share: number })[]): ReadTimes[] {
  const distinct: ReadTimes[] = [];
  for (const fit of fits) {
    if (!distinct.some((one) => one.walls.every((w, i) => Object.is(w, fit.walls[i])) && sameOrder(one, fit)))
      distinct.push(fit);
  }
  return distinct;
}

/** 05/05/2026 is the same either way, and the next day isn't. */
function sameOrder(a: ReadTimes, b: ReadTimes): boolean {
  const fields = (format: string) => format.replace(/[^yMd]/g, "").replace(/(.)\1+/g, "$1");
  return fields(a.format) === fields(b.format);
}

/** The greatest part of texts that a pattern fits which isn't the best. */
function otherShare(fits: readonly { share: number }[], best: number): number {
  return Math.round(Math.max(0, ...fits.map((f) => f.share).filter((s) => s < best)) * 1000) / 1000;
}

/** Whether hours run from 1 to 12 and again from 1 on, on the same day. */
function lacksHalf(walls: readonly number[]): boolean {
  let wraps = 0;
  for (let i = 1; i < walls.length; i++) {
    const hour = Math.floor(walls[i] / HOUR_MS) % 24;
    if (hour === 0 || hour > 12) return false;
    const before = Math.floor(walls[i - 1] / HOUR_MS) % 24;
    if (before === 12 && hour === 1 && walls[i] < walls[i - 1]) wraps++;
  }
  return wraps > 0;
}

const HOUR_MS = 3_600_000;

/** At most SEEN of the texts, from all of the head. */
function spread(texts: readonly string[]): string[] {
  if (texts.length <= SEEN) return texts.map((t) => t.trim());
  return Array.from({ length: SEEN }, (_, i) => texts[Math.floor((i * texts.length) / SEEN)].trim());
}
