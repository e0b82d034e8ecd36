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
