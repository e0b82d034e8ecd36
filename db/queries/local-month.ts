import { createLocalClock } from "../../src/analysis/local-time";

/** A month by its local bounds: `toMs` is the first instant of the next one. */
export type LocalMonth = { month: string; fromMs: number; toMs: number };

/**
 * Bounds of a month of a zone.
 *
 * @param month yyyy-MM
 * @throws RangeError where the month or the zone doesn't exist
 */
export function localMonth(timezone: string, month: string): LocalMonth {
  const clock = createLocalClock(timezone);
  return {
    month,
    fromMs: clock.dateStartMs(`${month}-01`),
    toMs: clock.dateStartMs(`${neighbourMonth(month, 1)}-01`),
  };
}

/** The month so many months later (earlier where negative). @example neighbourMonth("2026-01", -1) // "2025-12" */
export function neighbourMonth(month: string, by: number): string {
  const count = Number(month.slice(0, 4)) * 12 + Number(month.slice(5, 7)) - 1 + by;
  return `${String(Math.floor(count / 12)).padStart(4, "0")}-${String((count % 12) + 1).padStart(2, "0")}`;
}

/** The date after one of the calendar. @example nextDate("2026-02-28") // "2026-03-01" */
export function nextDate(date: string): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);
}
