import type { TimePatternPart } from "../site/parse-time-pattern";
import { monthOfName } from "./month-of-name";
import type { WrittenTime } from "./parse-iso-time";
import { zoneAbbreviationMs } from "./zone-abbreviation";

/**
 * Reads a time by the parts of a CLDR pattern. Numbers may be shorter than the pattern says where a mark
 * follows; white space in the pattern stands for any, also none before "am" or "pm". Two-digit years are
 * 2000 to 2099. Month names are read in English, Spanish, German and French. A fraction of a second may be left out
 * with its mark, as where it is 0. A day's name is read over. False where it doesn't fit.
 */
export function parsePatternTime(
  text: string,
  parts: readonly TimePatternPart[],
  into: WrittenTime,
): boolean {
  let i = skipSpace(text, 0);
  let year = Number.NaN;
  let month = Number.NaN;
  let day = Number.NaN;
  let hour = 0;
  let minute = 0;
  let second = 0;
  let fractionMs = 0;
  let half = -1;
  let twelve = false;
  into.offsetMs = Number.NaN;
  into.zone = null;
  for (let p = 0; p < parts.length; p++) {
    const part = parts[p];
    if ("text" in part) {
      if (part.text.trim() === "") {
        i = skipSpace(text, i);
        continue;
      }
      if (!text.startsWith(part.text, i)) {
        const next = parts[p + 1];
        if (next === undefined || !("field" in next) || next.field !== "fraction") return false;
        p++;
        continue;
      }
      i += part.text.length;
      continue;
    }
    if (part.field === "half") {
      const match = /^([ap])\.?\s?m?\.?(?!\p{L})/iu.exec(text.slice(i, i + 6));
      if (match === null) return false;
      half = match[1].toLowerCase() === "p" ? 1 : 0;
      i += match[0].length;
      continue;
    }
    if (part.field === "offset") {
      const match = /^(?:Z|([+\-\u2212])(\d\d):?(\d\d)?)/i.exec(text.slice(i, i + 6));
      if (match === null) return false;
      const ms = match[1] === undefined ? 0 : (Number(match[2]) * 60 + Number(match[3] ?? 0)) * 60_000;
      into.offsetMs = match[1] === "+" ? ms : -ms;
      i += match[0].length;
      continue;
    }
    if (part.field === "weekday" || part.field === "zoneName") {
      const match = /^\p{L}+\.?/u.exec(text.slice(i, i + 20));
      if (match === null) return false;
      if (part.field === "zoneName") {
        into.offsetMs = zoneAbbreviationMs(match[0]);
        if (Number.isNaN(into.offsetMs)) return false;
      }
      i += match[0].length;
      continue;
    }
    if (part.field === "monthName") {
      const match = /^\p{L}+/u.exec(text.slice(i, i + 20));
      month = match === null ? Number.NaN : monthOfName(match[0]);
      if (Number.isNaN(month)) return false;
      i += (match as RegExpExecArray)[0].length;
      if (
        text[i] === "." &&
        !(p + 1 < parts.length && "text" in parts[p + 1] && (parts[p + 1] as { text: string }).text === ".")
      )
        i++;
      continue;
    }
    const next = parts[p + 1];
    const joined = next !== undefined && "field" in next && NUMBERS.has(next.field);
    const most =
      part.field === "fraction"
        ? 9
        : part.field === "year"
          ? Math.max(part.width, part.width === 2 ? 2 : 4)
          : joined
            ? part.width
            : 2;
    let value = 0;
    const start = i;
    while (i - start < most && i < text.length) {
      const digit = text.charCodeAt(i) - 48;
      if (!(digit >= 0 && digit <= 9)) break;
      value = value * 10 + digit;
      i++;
    }
    if (i === start) return false;
    switch (part.field) {
      case "year":
        year = i - start <= 2 ? 2000 + value : value;
        break;
      case "month":
        month = value;
        break;
      case "day":
        day = value;
        break;
      case "hour24":
        hour = value;
        break;
      case "hour12":
        hour = value;
        twelve = true;
        break;
      case "minute":
        minute = value;
        break;
      case "second":
        second = value;
        break;
      case "fraction":
        fractionMs = Math.floor((value / 10 ** (i - start)) * 1000 + 1e-9);
        break;
    }
  }
  if (skipSpace(text, i) !== text.length) return false;
  if (twelve) {
    if (hour < 1 || hour > 12) return false;
    hour = (hour % 12) + (half === 1 ? 12 : 0);
  }
  if (!(month >= 1 && month <= 12 && day >= 1 && hour <= 24 && minute < 60 && second < 60)) return false;
  if (hour === 24 && (minute > 0 || second > 0 || fractionMs > 0)) return false;
  const dayMs = Date.UTC(year, month - 1, day);
  // Date.UTC lets 31 April run over into May.
  if (!(year >= 1000) || new Date(dayMs).getUTCDate() !== day) return false;
  into.wallMs = dayMs + hour * 3_600_000 + minute * 60_000 + second * 1000 + fractionMs;
  return true;
}

/** Fields that are numbers: one right behind another has the digits that its pattern says. */
const NUMBERS: ReadonlySet<string> = new Set([
  "year",
  "month",
  "day",
  "hour24",
  "hour12",
  "minute",
  "second",
  "fraction",
]);

function skipSpace(text: string, from: number): number {
  let i = from;
  while (
    i < text.length &&
    (text.charCodeAt(i) <= 32 || text.charCodeAt(i) === 0xa0 || text.charCodeAt(i) === 0x202f)
  )
    i++;
  return i;
}
