import { isIanaZone } from "../site/is-iana-zone";
import { createZoneClock, type ZoneClock } from "./zone-clock";

/** A time as it was written: wall time, and what the text says of its place on the line of instants. */
export type WrittenTime = {
  /** Milliseconds of the wall time, as if it were UTC. */
  wallMs: number;
  /** Offset in ms, east positive; NaN where the text has none. */
  offsetMs: number;
  /** IANA zone from an RFC 9557 suffix, where the text has no offset beside it. */
  zone: string | null;
};

// The date of the row before: samples come by the thousand a day.
let cachedDate = -1;
let cachedDayMs = 0;

/**
 * Reads ISO 8601 and RFC 3339 times: date and time split by T or a space, "-" or "/" in the date, seconds
 * and fraction (to the millisecond, cut) optional, "Z", an offset or nothing, basic format without marks,
 * a date alone as its midnight. An RFC 9557 suffix in brackets is honoured: a zone beside an offset is held
 * against it only where it is critical ("!"), an unknown critical suffix is refused [RFC 9557, 3.3 and 3.4].
 * False where the text is no such time; `into` is then undefined.
 */
export function parseIsoTime(text: string, into: WrittenTime): boolean {
  let i = 0;
  let end = text.length;
  while (i < end && text.charCodeAt(i) <= 32) i++;
  while (end > i && text.charCodeAt(end - 1) <= 32) end--;
  if (end - i < 8) return false;
  const mark = text.charCodeAt(i + 4);
  const basic = mark >= 48 && mark <= 57;
  if (!basic && mark !== 45 && mark !== 47) return false;
  const year = digits2(text, i) * 100 + digits2(text, i + 2);
  let month: number;
  let day: number;
  if (basic) {
    month = digits2(text, i + 4);
    day = digits2(text, i + 6);
    i += 8;
  } else {
    if (end - i < 10 || text.charCodeAt(i + 7) !== mark) return false;
    month = digits2(text, i + 5);
    day = digits2(text, i + 8);
    i += 10;
  }
  const date = year * 10_000 + month * 100 + day;
  // NaN, from anything that is no digit, is equal to nothing.
  if (date !== cachedDate) {
    if (!(month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(year, month))) return false;
    if (!(year >= 1000)) return false;
    cachedDate = date;
    cachedDayMs = Date.UTC(year, month - 1, day);
  }
  into.offsetMs = Number.NaN;
  into.zone = null;
  if (i === end) {
    into.wallMs = cachedDayMs;
    return true;
  }
  const separator = text.charCodeAt(i);
  if (separator !== 84 && separator !== 32 && separator !== 116) return false;
  i++;
  while (i < end && text.charCodeAt(i) === 32) i++;
  if (end - i < 4) return false;
  let hour = digits2(text, i);
  const oneDigitHour = text.charCodeAt(i + 1) === 58;
  if (oneDigitHour) hour = text.charCodeAt(i) - 48;
  i += oneDigitHour ? 1 : 2;
  let minute: number;
  let second = 0;
  let fractionMs = 0;
  if (text.charCodeAt(i) === 58) {
    minute = digits2(text, i + 1);
    i += 3;
    if (i < end && text.charCodeAt(i) === 58) {
      second = digits2(text, i + 1);
      i += 3;
    }
  } else {
    minute = digits2(text, i);
    i += 2;
    if (i + 1 < end && isDigit(text.charCodeAt(i))) {
      second = digits2(text, i);
      i += 2;
    }
  }
  if (i > end) return false;
  if (i < end && (text.charCodeAt(i) === 46 || text.charCodeAt(i) === 44)) {
    let scale = 100;
    const first = ++i;
    while (i < end && isDigit(text.charCodeAt(i))) {
      fractionMs += scale >= 1 ? (text.charCodeAt(i) - 48) * scale : 0;
      scale /= 10;
      i++;
    }
    if (i === first) return false;
  }
  if (!(hour >= 0 && hour <= 24 && minute >= 0 && minute < 60 && second >= 0 && second < 60)) return false;
  if (hour === 24 && (minute > 0 || second > 0 || fractionMs > 0)) return false;
  into.wallMs = cachedDayMs + hour * 3_600_000 + minute * 60_000 + second * 1000 + fractionMs;
  return i === end || readPlace(text, i, end, into);
}

function readPlace(text: string, from: number, end: number, into: WrittenTime): boolean {
  let i = from;
  if (text.charCodeAt(i) === 32) i++;
  const first = text.charCodeAt(i);
  if (first === 90 || first === 122) {
    into.offsetMs = 0;
    i++;
  } else if (first === 43 || first === 45 || first === 0x2212) {
    const hours = digits2(text, i + 1);
    i += 3;
    if (text.charCodeAt(i) === 58) i++;
    let minutes = 0;
    if (i < end && text.charCodeAt(i) !== 91) {
      minutes = digits2(text, i);
      i += 2;
    }
    if (!(hours <= 23 && minutes < 60) || i > end) return false;
    const ms = (hours * 60 + minutes) * 60_000;
    into.offsetMs = first === 43 ? ms : -ms;
  } else if (text.slice(i, end).toUpperCase() === "UTC" || text.slice(i, end).toUpperCase() === "GMT") {
    into.offsetMs = 0;
    i = end;
  }
  return i === end || readSuffix(text.slice(i, end), first === 90 || first === 122, into);
}

function readSuffix(suffix: string, isZulu: boolean, into: WrittenTime): boolean {
  const tags = suffix.match(/\[[^\]]*\]/g);
  if (tags === null || tags.join("") !== suffix) return false;
  for (const tag of tags) {
    const critical = tag.startsWith("[!");
    const content = tag.slice(critical ? 2 : 1, -1);
    if (content.includes("=")) {
      if (critical) return false;
      continue;
    }
    if (Number.isNaN(into.offsetMs)) {
      if (!zoneExists(content)) return false;
      into.zone = content;
    } else if (critical && !isZulu && !offsetFits(content, into)) {
      return false;
    } else if (critical && !zoneExists(content)) {
      return false;
    }
  }
  return true;
}

function zoneExists(zone: string): boolean {
  let exists = zones.get(zone);
  if (exists === undefined) {
    // An offset can stand there in place of a name [RFC 9557, 3.1].
    exists = /^[+-](?:[01]\d|2[0-3]):[0-5]\d$/.test(zone) || isIanaZone(zone);
    // A log has one zone or two; a file of invented ones must not fill the memory.
    if (zones.size < MOST_ZONES) zones.set(zone, exists);
  }
  return exists;
}

const zones = new Map<string, boolean>();
const MOST_ZONES = 50;

/** Whether the zone's clock really shows that wall time at that offset. */
function offsetFits(zone: string, time: WrittenTime): boolean {
  if (!zoneExists(zone)) return false;
  const clock = clocks.get(zone) ?? createZoneClock(zone);
  if (clocks.size < MOST_ZONES) clocks.set(zone, clock);
  return clock.offsetAtMs(time.wallMs - time.offsetMs) === time.offsetMs;
}

const clocks = new Map<string, ZoneClock>();

function digits2(text: string, at: number): number {
  const tens = text.charCodeAt(at) - 48;
  const ones = text.charCodeAt(at + 1) - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : Number.NaN;
}

function isDigit(code: number): boolean {
  return code >= 48 && code <= 57;
}

function daysInMonth(year: number, month: number): number {
  if (month === 2) return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0 ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}
