import { createLocalClock } from "../../src/analysis/local-time";
import { neighbourMonth } from "./local-month";
import type { LocalPeriod } from "./period-results";

/**
 * The local days of a zone from `fromDate` up to, but not with, `toDate` (yyyy-MM-dd), with their instants.
 *
 * @throws RangeError where a day or the zone doesn't exist
 */
export function localPeriod(timezone: string, fromDate: string, toDate: string): LocalPeriod {
  const clock = createLocalClock(timezone);
  return { fromDate, toDate, fromMs: clock.dateStartMs(fromDate), toMs: clock.dateStartMs(toDate) };
}

/** The days of a month (yyyy-MM) of a zone. */
export function monthPeriod(timezone: string, month: string): LocalPeriod {
  return localPeriod(timezone, `${month}-01`, `${neighbourMonth(month, 1)}-01`);
}

/**
 * A stretch of instants (`fromMs ≤ t < toMs`) with the days of a zone that it touches.
 *
 * @param stretch null for its beginning or end: that of all time
 */
export function touchedPeriod(
  timezone: string,
  { fromMs, toMs }: { fromMs: number | null; toMs: number | null },
): LocalPeriod {
  const clock = createLocalClock(timezone);
  return {
    fromDate: fromMs === null ? "0000-01-01" : clock.date(clock.startOfDayMs(fromMs)),
    toDate: toMs === null ? "9999-12-31" : clock.date(clock.nextDayMs(toMs - 1)),
    fromMs: fromMs ?? -Number.MAX_SAFE_INTEGER,
    toMs: toMs ?? Number.MAX_SAFE_INTEGER,
  };
}
