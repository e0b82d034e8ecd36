import { parseTimePattern } from "../../site/parse-time-pattern";
import { parseIsoTime, type WrittenTime } from "../parse-iso-time";
import { parsePatternTime } from "../parse-pattern-time";

/** The form of a log's times. */
export type SniffedTimeForm = {
  /** "auto" (ISO 8601), "epoch-s", "epoch-ms" or a CLDR pattern; null where none fits, or two do. */
  readonly format: string | null;
  /** "open" where day and month could each come first in every time seen. */
  readonly order: "settled" | "open";
  readonly candidates: readonly string[];
  readonly example: string;
  readonly confidence: number;
  /** Part of the texts seen that the form fits. */
  readonly share: number;
};

const SEEN = 2000;
const MIN_SHARE = 0.8;
const EPOCH_FROM_S = 946_684_800;
const EPOCH_UNTIL_S = 4_102_444_800;

/**
 * Settles the form of times from the texts of the first rows. Where numbers stand for day and month and no
 * text has one above 12, their order is settled by what runs: in a log the day changes from row to row
 * before the month does. Where fewer than three days show it, it stays open: a person must say.
 */
export function sniffTimeForm(texts: readonly string[]): SniffedTimeForm {
  const seen = spread(texts.filter((t) => t.trim() !== ""));
  const example = seen[0] ?? "";
  const none = { format: null, order: "settled", candidates: [], example, confidence: 0, share: 0 } as const;
  if (seen.length === 0) return none;
  // Most columns are no times: a few texts tell.
  const few = seen.filter((_, i) => i % Math.ceil(seen.length / 40) === 0);
  if (few.filter(couldBeTime).length < 0.5 * few.length) return none;
  const numbers = seen
    .filter((t) => /^\d{9,14}(?:[.,]\d+)?$/.test(t))
    .map((t) => Number(t.replace(",", ".")));
  if (numbers.length >= MIN_SHARE * seen.length) {
    for (const [format, scale] of [
      ["epoch-s", 1],
      ["epoch-ms", 1000],
    ] as const) {
      if (numbers.every((n) => n / scale >= EPOCH_FROM_S && n / scale <= EPOCH_UNTIL_S)) {
        return { ...none, format, confidence: 0.98, share: numbers.length / seen.length };
      }
    }
  }
  const iso = seen.filter((t) => parseIsoTime(t, scratch)).length / seen.length;
  if (iso >= MIN_SHARE) return { ...none, format: "auto", confidence: iso, share: iso };
  return sniffPattern(seen, example);
}

const scratch: WrittenTime = { wallMs: 0, offsetMs: Number.NaN, zone: null };

function couldBeTime(text: string): boolean {
  return /^\d{8}/.test(text) || /\d[-/.:\s]\s?(?:\d|\p{L})/u.test(text);
}

function sniffPattern(seen: readonly string[], example: string): SniffedTimeForm {
  const fits: { format: string; share: number; walls: number[] }[] = [];
  for (const format of candidatesFor(example, seen)) {
    const parsed = parseTimePattern(format);
    if (!parsed.ok) continue;
    const walls: number[] = [];
    for (const text of seen) if (parsePatternTime(text, parsed.parts, scratch)) walls.push(scratch.wallMs);
    fits.push({ format, share: walls.length / seen.length, walls });
  }
  const best = Math.max(0, ...fits.map((f) => f.share));
  if (best < MIN_SHARE) {
    return { format: null, order: "settled", candidates: [], example, confidence: 0, share: best };
  }
  const equal = fits.filter((f) => f.share >= best - 1e-9);
  if (equal.length === 1) {
    return {
      format: equal[0].format,
      order: "settled",
      candidates: [],
      example,
      confidence: best,
      share: best,
    };
  }
  const roughness = equal.map((f) => spanOf(f.walls));
  const smoothest = Math.min(...roughness);
  const smooth = equal.filter((_, i) => roughness[i] <= smoothest * 1.000001);
  // Read the wrong way round, days become months: the same rows then span thirty times as long.
  if (
    smooth.length === 1 &&
    daysOf(smooth[0].walls) >= 3 &&
    roughness.every((r) => r === smoothest || r > 10 * smoothest)
  ) {
    return {
      format: smooth[0].format,
      order: "settled",
      candidates: [],
      example,
      confidence: 0.9,
      share: best,
    };
  }
  return {
    format: null,
    order: "open",
    candidates: equal.map((f) => f.format),
    example,
    confidence: 0,
    share: best,
  };
}

function daysOf(walls: readonly number[]): number {
  return new Set(walls.map((w) => Math.floor(w / DAY_MS))).size;
}

/** Time between the first and the last, over days that really change; infinite where only one day is seen. */
function spanOf(walls: readonly number[]): number {
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  for (const wall of walls) {
    if (wall < min) min = wall;
    if (wall > max) max = wall;
  }
  return Math.floor(max / DAY_MS) === Math.floor(min / DAY_MS) ? Number.POSITIVE_INFINITY : max - min;
}

const DAY_MS = 86_400_000;

function candidatesFor(example: string, seen: readonly string[]): string[] {
  const match = /^\s*(\d{1,4}|\p{L}+)([./\-\s])\s*(\d{1,2}|\p{L}+)\.?([./\-\s,]+)(\d{1,4})(.*)$/u.exec(
    example,
  );
  if (match === null) return [];
  const [, first, mark1, second, mark2, third, rest] = match;
  const time = timePart(rest, seen);
  const m1 = mark1.trim() === "" ? " " : mark1;
  const m2 = mark2.trim() === "" ? " " : mark2;
  const year = third.length === 4 ? "yyyy" : "yy";
  if (first.length === 4) {
    return [`yyyy${m1}MM${m2}dd${time}`, `yyyy${m1}dd${m2}MM${time}`];
  }
  if (/\p{L}/u.test(first)) return [`MMM${m1}d${m2}${year}${time}`];
  if (/\p{L}/u.test(second)) return [`d${m1}MMM${m2}${year}${time}`];
  const wide = first.length === 2 && second.length === 2;
  const [d, m] = wide ? ["dd", "MM"] : ["d", "M"];
  return [`${d}${m1}${m}${m2}${year}${time}`, `${m}${m1}${d}${m2}${year}${time}`];
}

function timePart(rest: string, seen: readonly string[]): string {
  const match =
    /^(,?\s+|T)(\d{1,2})([:.h])(\d{2})(?:([:.])(\d{2})([.,]\d+)?)?(\s?[ap]\.?\s?m?\.?)?(\s?(?:Z|[+-]\d{2}:?\d{2}))?\s*$/i.exec(
      rest,
    );
  if (match === null) return rest.trim() === "" ? " HH:mm" : rest;
  const half = match[8] !== undefined || seen.some((t) => /[ap]\.?\s?m\.?$/i.test(t));
  const gap = match[1].toUpperCase() === "T" ? "'T'" : match[1].includes(",") ? ", " : " ";
  const hour = (half ? "h" : "H").repeat(match[2].length === 2 ? 2 : 1);
  const mark = match[3] === "h" ? "'h'" : match[3];
  const seconds = match[6] === undefined ? "" : `${match[5]}ss`;
  const fraction =
    match[7] === undefined ? "" : `${match[7][0]}${"S".repeat(Math.min(9, match[7].length - 1))}`;
  const offset = match[9] === undefined ? "" : `${match[9].startsWith(" ") ? " " : ""}XX`;
  return `${gap}${hour}${mark}mm${seconds}${fraction}${half ? " a" : ""}${offset}`;
}

/** At most SEEN of the texts, from all of the head. */
function spread(texts: readonly string[]): string[] {
  if (texts.length <= SEEN) return texts.map((t) => t.trim());
  return Array.from({ length: SEEN }, (_, i) => texts[Math.floor((i * texts.length) / SEEN)].trim());
}
