import { parseTimePattern, type TimePatternPart } from "../site/parse-time-pattern";
import { parseIsoTime, type WrittenTime } from "./parse-iso-time";
import { parsePatternTime } from "./parse-pattern-time";
import { spreadsheetDayMs } from "./spreadsheet-day";
import { createZoneClock, type ZoneClock } from "./zone-clock";

/**
 * Reads the time cells of one log as instants, epoch ms UTC. After a `read`, `second` is the other instant
 * that is meant as well where the wall time happened twice, else NaN; `onClock` is false where the text was
 * a time, but one that the zone's clock skips.
 */
export type TimeReader = {
  /** NaN where it is no time, or none on the clock. */
  read(text: string): number;
  second(): number;
  onClock(): boolean;
};

export type TimeReaderOptions = {
  /** "auto" here means ISO 8601; other forms are settled before. */
  readonly format: string;
  /** IANA zone or offset, for times that say neither themselves. */
  readonly zone: string;
  /** Most decimals of spreadsheet days in the log, which say how exact they are. */
  readonly dayDecimals?: number;
  /** Day of the first row, "2026-05-01", where the times are times of day only: the next day begins where they step back. */
  readonly date?: string;
};

/** Time reader of a settled form. @throws RangeError where the format, the zone or the date doesn't exist. */
export function createTimeReader(options: TimeReaderOptions): TimeReader {
  const { format } = options;
  if (format === "epoch-s") return epochReader(1000, 1);
  if (format === "epoch-ms") return epochReader(1, 1);
  if (format === "epoch-us") return epochReader(1, 1000);
  const parse = writtenBy(options);
  const clock = createZoneClock(options.zone);
  const named = new Map<string, ZoneClock>();
  const written: WrittenTime = { wallMs: 0, offsetMs: Number.NaN, zone: null };
  let second = Number.NaN;
  let onClock = true;

  function clockOf(zone: string): ZoneClock {
    let found = named.get(zone);
    if (found === undefined) {
      found = createZoneClock(zone);
      // A log has one zone or two; a file of invented ones must not fill the memory.
      if (named.size < 20) named.set(zone, found);
    }
    return found;
  }

  return {
    second: () => second,
    onClock: () => onClock,
    read(text) {
      onClock = true;
      second = Number.NaN;
      if (!parse(text, written)) return Number.NaN;
      if (!Number.isNaN(written.offsetMs)) return written.wallMs - written.offsetMs;
      const zone = written.zone === null ? clock : clockOf(written.zone);
      const at = zone.instantMs(written.wallMs);
      if (Number.isNaN(at)) onClock = false;
      else second = zone.secondMs();
      return at;
    },
  };
}

type Parse = (text: string, into: WrittenTime) => boolean;

/** How a text of the form is read as a wall time. */
function writtenBy({ format, dayDecimals, date }: TimeReaderOptions): Parse {
  if (format === "spreadsheet-day" || format === "spreadsheet-day-1904") {
    const from1904 = format === "spreadsheet-day-1904";
    return (text, into) => {
      into.wallMs = spreadsheetDayMs(text, dayDecimals ?? 15, from1904);
      into.offsetMs = Number.NaN;
      into.zone = null;
      return !Number.isNaN(into.wallMs);
    };
  }
  const parts = format === "auto" ? null : patternParts(format);
  const parse: Parse = parts === null ? parseIsoTime : (text, into) => parsePatternTime(text, parts, into);
  return date === undefined ? parse : onDays(date, parse);
}

/** Puts the days to times of day that follow one another: where they step back by hours, the next day has begun. */
function onDays(date: string, parse: Parse): Parse {
  const firstMs = Date.parse(`${date}T00:00:00Z`);
  if (Number.isNaN(firstMs))
    throw new RangeError(`createTimeReader requires a date such as 2026-05-01, got "${date}"`);
  let dayMs = 0;
  let lastMs = Number.NaN;
  return (text, into) => {
    if (!parse(`${date} ${text}`, into)) return false;
    const clockMs = into.wallMs - firstMs;
    if (clockMs < lastMs - HALF_DAY_MS) dayMs += DAY_MS;
    // A log in descending order goes the other way.
    else if (clockMs > lastMs + HALF_DAY_MS) dayMs -= DAY_MS;
    lastMs = clockMs;
    into.wallMs += dayMs;
    return true;
  };
}

const DAY_MS = 86_400_000;
const HALF_DAY_MS = DAY_MS / 2;

/** Epoch times of `multiply / divide` milliseconds each. */
function epochReader(multiply: number, divide: number): TimeReader {
  return {
    second: () => Number.NaN,
    onClock: () => true,
    read(text) {
      const length = text.length;
      let value = 0;
      let i = 0;
      for (; i < length && i < 15; i++) {
        const digit = text.charCodeAt(i) - 48;
        if (!(digit >= 0 && digit <= 9)) break;
        value = value * 10 + digit;
      }
      if (i === length && i > 0) return divide === 1 ? value * multiply : Math.floor(value / divide);
      const plain = text.trim().replace(",", ".");
      return EPOCH.test(plain) ? Math.floor((Number(plain) * multiply) / divide + 1e-6) : Number.NaN;
    },
  };
}

const EPOCH = /^-?\d{1,17}(?:\.\d*)?(?:[eE]\+?\d{1,2})?$/;

function patternParts(format: string): readonly TimePatternPart[] {
  const parsed = parseTimePattern(format);
  if (!parsed.ok)
    throw new RangeError(`createTimeReader requires a date pattern, got "${format}": ${parsed.message}`);
  return parsed.parts;
}
