import type { LocalClock } from "../../src/analysis/local-time";

/** A local day by its bounds: `toMs` is the first instant of the next one. */
export type DayBounds = { date: string; fromMs: number; toMs: number };

/** A part of a day that its sheet shows; `zoomed` where it isn't the whole of it. */
export type DayStretch = { fromMs: number; toMs: number; zoomed: boolean };

/** What the query of a day's address asks for, or what in it can't be read. */
export type DayQuery = { stretch: DayStretch; problem: string | null };

/** A day's sheet never shows less than this. */
export const LEAST_STRETCH_MS = 1000;

/** How far `?at=` reaches on each side. */
const AROUND_MS = 10 * 60_000;

/** Address of a day's sheet. @example dayHref("alder-creek", "2026-05-14") // "/sites/alder-creek/2026-05/14" */
export function dayHref(slug: string, date: string): string {
  return `/sites/${slug}/${date.slice(0, 7)}/${date.slice(8)}`;
}

/** Address of a day's sheet with ten minutes around an instant, which must lie in that day. */
export function dayAtHref(slug: string, atMs: number, clock: LocalClock): string {
  const day = dayBoundsAt(atMs, clock);
  return `${dayHref(slug, day.date)}?at=${encodeURIComponent(clockInDay(atMs, day, clock))}`;
}

/** Address of a day's sheet with one stretch of it; the whole day where the stretch is that. */
export function stretchHref(
  slug: string,
  day: DayBounds,
  fromMs: number,
  toMs: number,
  clock: LocalClock,
): string {
  if (fromMs <= day.fromMs && toMs >= day.toMs) return dayHref(slug, day.date);
  const [from, to] = [fromMs, toMs].map((atMs) => encodeURIComponent(clockInDay(atMs, day, clock)));
  return `${dayHref(slug, day.date)}?from=${from}&to=${to}`.replaceAll("%3A", ":");
}

/** The local day that holds an instant. */
export function dayBoundsAt(atMs: number, clock: LocalClock): DayBounds {
  const fromMs = clock.startOfDayMs(atMs);
  return { date: clock.date(fromMs), fromMs, toMs: clock.nextDayMs(atMs) };
}

/**
 * Reads `?from=18:00:00&to=18:10:00` or `?at=18:05` of a day's address: local times of that day. A time that the
 * clock shows twice is the earlier one, unless the offset from UTC stands behind it (01:30:00-07:00). One that the
 * clock leaps over is as much later as the clock leaps. 24:00 is the day's end.
 */
export function parseDayQuery(
  query: { readonly [key: string]: string | string[] | undefined },
  day: DayBounds,
  clock: LocalClock,
): DayQuery {
  const whole = { fromMs: day.fromMs, toMs: day.toMs, zoomed: false };
  const read = (key: string): number | null | undefined => {
    const text = query[key];
    if (text === undefined || text === "") return undefined;
    return typeof text === "string" ? instantInDay(text, day, clock) : null;
  };
  const [at, from, to] = ["at", "from", "to"].map(read);
  for (const [key, value] of [
    ["at", at],
    ["from", from],
    ["to", to],
  ] as const) {
    if (value !== null) continue;
    return {
      stretch: whole,
      problem: `“${key}=${String(query[key]).slice(0, 40)}” in the address is no time of this day. Write it as HH:mm or HH:mm:ss, such as ${key}=18:05; where the clock shows a time twice, with its offset, such as ${key}=01:30-07:00.`,
    };
  }
  if (at !== undefined && at !== null) {
    const fromMs = Math.max(day.fromMs, at - AROUND_MS);
    return { stretch: { fromMs, toMs: Math.min(day.toMs, at + AROUND_MS), zoomed: true }, problem: null };
  }
  const fromMs = from ?? day.fromMs;
  const toMs = to ?? day.toMs;
  if (toMs - fromMs < LEAST_STRETCH_MS) {
    return {
      stretch: whole,
      problem: "In the address “to” is not after “from”. Give a “to” that is a second or more later.",
    };
  }
  const zoomed = fromMs > day.fromMs || toMs < day.toMs;
  return { stretch: { fromMs, toMs, zoomed }, problem: null };
}

/**
 * An instant of a day as its address says it: "18:02:33", with the offset where the clock shows that time twice,
 * "24:00:00" at its end.
 */
export function clockInDay(atMs: number, day: DayBounds, clock: LocalClock): string {
  if (atMs >= day.toMs) return "24:00:00";
  const offsetMs = clock.offsetMs(atMs);
  const local = new Date(atMs + offsetMs).toISOString();
  const text = local.slice(11, atMs % 1000 === 0 ? 19 : 23);
  return instantInDay(text, day, clock) === atMs ? text : `${text}${offsetText(offsetMs)}`;
}

const CLOCK = /^(\d\d):(\d\d)(?::(\d\d)(\.\d{1,3})?)?(?:([+\- −])(\d\d):?(\d\d)|Z)?$/;

/** The instant of the day that shows this time on the clock; null where the text is none, or it lies outside. */
function instantInDay(text: string, day: DayBounds, clock: LocalClock): number | null {
  const match = CLOCK.exec(text);
  if (match === null) return null;
  const [, hour, minute, second = "0", fraction = "0", sign, offsetHour, offsetMinute] = match;
  if (Number(hour) > 24 || Number(minute) > 59 || Number(second) > 59) return null;
  const clockMs =
    ((Number(hour) * 60 + Number(minute)) * 60 + Number(second)) * 1000 +
    Math.round(Number(`0${fraction}`) * 1000);
  if (Number(hour) === 24) return clockMs === 86_400_000 ? day.toMs : null;
  const noonMs = Date.parse(`${day.date}T00:00:00Z`);
  // The minutes before a midnight that the clock goes back over belong to the day that had begun.
  const localMs = [0, -1, 1].map((days) => noonMs + days * 86_400_000 + clockMs);
  if (sign !== undefined || text.endsWith("Z")) {
    // A plus in an address that wasn't written %2B arrives as a space.
    const direction = sign === "-" || sign === "−" ? -1 : 1;
    const offsetMs =
      sign === undefined ? 0 : direction * (Number(offsetHour) * 60 + Number(offsetMinute)) * 60_000;
    const found = localMs
      .map((local) => local - offsetMs)
      .find((atMs) => atMs >= day.fromMs && atMs < day.toMs);
    return found !== undefined && clock.offsetMs(found) === offsetMs ? found : null;
  }
  const offsets = offsetsOf(day, clock);
  const found = localMs
    .flatMap((local) => offsets.map((offsetMs) => ({ atMs: local - offsetMs, offsetMs })))
    .filter(
      ({ atMs, offsetMs }) => atMs >= day.fromMs && atMs < day.toMs && clock.offsetMs(atMs) === offsetMs,
    )
    .map(({ atMs }) => atMs);
  if (found.length > 0) return Math.min(...found);
  // The clock leaps over it: read by the offset before the leap, as RFC 5545 has it.
  const leapt = localMs[0] - clock.offsetMs(day.fromMs - 1);
  return Math.min(day.toMs, Math.max(day.fromMs, leapt));
}

/** Offsets from UTC in force in the day, ms. */
function offsetsOf({ fromMs, toMs }: DayBounds, clock: LocalClock): number[] {
  const offsets = new Set<number>();
  for (let atMs = fromMs; atMs < toMs; atMs += 15 * 60_000) offsets.add(clock.offsetMs(atMs));
  return [...offsets];
}

function offsetText(offsetMs: number): string {
  const minutes = Math.abs(Math.round(offsetMs / 60_000));
  const two = (value: number) => String(value).padStart(2, "0");
  return `${offsetMs < 0 ? "-" : "+"}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}
