import { parseTimePattern, type TimePatternPart } from "../site/parse-time-pattern";
import { parseIsoTime, type WrittenTime } from "./parse-iso-time";
import { parsePatternTime } from "./parse-pattern-time";
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
};

/** Time reader of a settled form. @throws RangeError where the format or the zone doesn't exist. */
export function createTimeReader(options: TimeReaderOptions): TimeReader {
  const { format } = options;
  if (format === "epoch-s") return epochReader(1000);
  if (format === "epoch-ms") return epochReader(1);
  const parts = format === "auto" ? null : patternParts(format);
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
      const fits = parts === null ? parseIsoTime(text, written) : parsePatternTime(text, parts, written);
      if (!fits) return Number.NaN;
      if (!Number.isNaN(written.offsetMs)) return written.wallMs - written.offsetMs;
      const zone = written.zone === null ? clock : clockOf(written.zone);
      const at = zone.instantMs(written.wallMs);
      if (Number.isNaN(at)) onClock = false;
      else second = zone.secondMs();
      return at;
    },
  };
}

function epochReader(scale: number): TimeReader {
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
      if (i === length && i > 0) return value * scale;
      const plain = text.trim().replace(",", ".");
      return /^-?\d{1,15}(?:\.\d*)?$/.test(plain) ? Math.floor(Number(plain) * scale + 1e-6) : Number.NaN;
    },
  };
}

function patternParts(format: string): readonly TimePatternPart[] {
  const parsed = parseTimePattern(format);
  if (!parsed.ok)
    throw new RangeError(`createTimeReader requires a date pattern, got "${format}": ${parsed.message}`);
  return parsed.parts;
}
