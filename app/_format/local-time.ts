import { clockOf, localIso, MONTH_NAMES } from "../../src/report/format";
/** An instant as a clock at the site shows it. */
export type LocalTime = {
  /** yyyy-MM-dd */
  date: string;
  /** yyyy-MM */
  month: string;
  hour: number;
  /** 0 = Monday … 6 = Sunday */
  weekday: number;
  /** "14 May 2026" */
  day: string;
  /** "14 May" */
  shortDay: string;
  /** "18:02" */
  clock: string;
  /** "18:02:33" */
  clockWithSeconds: string;
  /** "MDT", or the offset where the zone has no name of its own */
  zone: string;
};

/** The instant in the zone's local time. */
export function localTime(atMs: number, timezone: string): LocalTime {
  const at: Record<string, string> = {};
  for (const { type, value } of format(timezone).formatToParts(atMs)) at[type] = value;
  const month = Number(at.month);
  const day = `${Number(at.day)} ${MONTH_NAMES[month - 1].slice(0, 3)}`;
  const date = `${at.year}-${at.month}-${at.day}`;
  return {
    date,
    month: date.slice(0, 7),
    hour: Number(at.hour),
    weekday: weekdayOf(date),
    day: `${day} ${at.year}`,
    shortDay: day,
    clock: `${at.hour}:${at.minute}`,
    clockWithSeconds: `${at.hour}:${at.minute}:${at.second}`,
    zone: at.timeZoneName,
  };
}

/** The instant as one line: "14 May 2026, 18:02:33". */
export function formatInstant(atMs: number | null, timezone: string, seconds = true): string {
  if (atMs === null) return "–";
  const at = localTime(atMs, timezone);
  return `${at.day}, ${seconds ? at.clockWithSeconds : at.clock}`;
}

/** The instant in ISO 8601 with the site's offset, as files carry it. */
export function isoLocal(atMs: number, timezone: string): string {
  return localIso(atMs, clockOf(timezone));
}

/** 0 = Monday … 6 = Sunday, of a local date. */
export function weekdayOf(date: string): number {
  return (new Date(`${date}T00:00:00Z`).getUTCDay() + 6) % 7;
}

export { formatMonth } from "../../src/report/format";

export const WEEKDAYS = [
  "Monday",
  "Tuesday",
  "Wednesday",
  "Thursday",
  "Friday",
  "Saturday",
  "Sunday",
] as const;

const formats = new Map<string, Intl.DateTimeFormat>();

function format(timezone: string): Intl.DateTimeFormat {
  let found = formats.get(timezone);
  if (found === undefined) {
    found = new Intl.DateTimeFormat("en-US", {
      timeZone: timezone,
      hourCycle: "h23",
      year: "numeric",
      month: "2-digit",
      day: "2-digit",
      hour: "2-digit",
      minute: "2-digit",
      second: "2-digit",
      timeZoneName: "short",
    });
    formats.set(timezone, found);
  }
  return found;
}
