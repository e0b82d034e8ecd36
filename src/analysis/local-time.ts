import { Temporal } from "temporal-polyfill";

/** Local time of one IANA zone, with its clock changes. All instants are epoch milliseconds UTC. */
export type LocalClock = {
  readonly zone: string;
  /** Offset from UTC in milliseconds at an instant, east positive. */
  offsetMs(atMs: number): number;
  /**
   * First instant of the local day that holds `atMs`: not always midnight, some days have none. Days follow
   * one another without a hole or an overlap: where the clock goes back from just after midnight (00:01 to
   * 23:01), the minutes shown twice belong to the day that had begun.
   */
  startOfDayMs(atMs: number): number;
  /** First instant of the local day after the one that holds `atMs`. */
  nextDayMs(atMs: number): number;
  /** First instant of the local clock hour that holds `atMs`; a repeated hour begins at the clock change. */
  startOfHourMs(atMs: number): number;
  /** End of that clock hour: a full hour later, or at a clock change inside it. */
  endOfHourMs(atMs: number): number;
  /** Local date, yyyy-MM-dd. */
  date(atMs: number): string;
  /** Seconds on the local clock since 00:00. */
  clockS(atMs: number): number;
  /** First instant of a local date (yyyy-MM-dd). */
  dateStartMs(date: string): number;
};

const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;

/**
 * Local clock of a zone. Transitions come from the run-time's IANA data through Temporal and are kept in a
 * table that grows with the years asked for, so that a look-up is a comparison.
 *
 * @throws RangeError where the zone doesn't exist.
 * @example createLocalClock("America/Denver").date(Date.UTC(2026, 4, 1)) // "2026-04-30"
 */
export function createLocalClock(zone: string): LocalClock {
  // One stretch of constant offset is kept at hand: samples come in time order.
  let fromMs = Number.POSITIVE_INFINITY;
  let untilMs = Number.NEGATIVE_INFINITY;
  let offset = 0;
  // Throws here, at the call, rather than at the first look-up.
  Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone);

  function seek(atMs: number): void {
    const at = zoned(atMs);
    offset = at.offsetNanoseconds / 1e6;
    const next = at.getTimeZoneTransition("next");
    untilMs = next === null ? Number.POSITIVE_INFINITY : next.epochMilliseconds;
    // `previous` is exclusive: asked one millisecond later it gives a transition at this very instant.
    const before = zoned(atMs + 1).getTimeZoneTransition("previous");
    fromMs = before === null ? Number.NEGATIVE_INFINITY : before.epochMilliseconds;
  }
  function zoned(atMs: number): Temporal.ZonedDateTime {
    return Temporal.Instant.fromEpochMilliseconds(Math.floor(atMs)).toZonedDateTimeISO(zone);
  }
  function offsetMs(atMs: number): number {
    if (!(atMs >= fromMs && atMs < untilMs)) seek(atMs);
    return offset;
  }
  function startOfDateMs(date: Temporal.PlainDate): number {
    return date.toZonedDateTime(zone).startOfDay().epochMilliseconds;
  }
  /** The date whose day holds an instant: where a clock goes back over midnight, the later one goes on. */
  function dayOf(atMs: number): Temporal.PlainDate {
    const date = zoned(atMs).toPlainDate();
    const next = date.add({ days: 1 });
    return startOfDateMs(next) <= atMs ? next : date;
  }
  function startOfHourMs(atMs: number): number {
    const local = atMs + offsetMs(atMs);
    const start = atMs - (((local % HOUR_MS) + HOUR_MS) % HOUR_MS);
    return Math.max(start, fromMs);
  }

  return {
    zone,
    offsetMs,
    startOfDayMs: (atMs) => startOfDateMs(dayOf(atMs)),
    nextDayMs: (atMs) => startOfDateMs(dayOf(atMs).add({ days: 1 })),
    startOfHourMs,
    endOfHourMs: (atMs) => {
      const local = atMs + offsetMs(atMs);
      const end = atMs - (((local % HOUR_MS) + HOUR_MS) % HOUR_MS) + HOUR_MS;
      return Math.min(end, untilMs);
    },
    date: (atMs) => {
      const local = new Date(Math.floor(atMs) + offsetMs(atMs));
      return local.toISOString().slice(0, 10);
    },
    clockS: (atMs) => {
      const local = atMs + offsetMs(atMs);
      return (((local % DAY_MS) + DAY_MS) % DAY_MS) / 1000;
    },
    dateStartMs: (date) => startOfDateMs(Temporal.PlainDate.from(date)),
  };
}
