import { localMonth, neighbourMonth } from "../../db/queries/local-month";
import type { LocalPeriod } from "../../db/queries/period-results";
import { clockOf, formatMonth, MONTH_NAMES } from "../../src/report/format";

/** The period of a sheet: a local month, local days (both included), or everything that was logged. */
export type Period =
  | { readonly kind: "month"; readonly month: string }
  | { readonly kind: "days"; readonly from: string; readonly to: string }
  | { readonly kind: "all" };

/**
 * Reads the period of an address: `month=yyyy-MM`, `month=all`, or `from=yyyy-MM-dd&to=yyyy-MM-dd`. The latest month
 * where it names none, or none that there is.
 *
 * @param months local months with results, ascending
 * @returns null where there are no months
 */
export function parsePeriod(
  query: { readonly [key: string]: string | string[] | undefined },
  months: readonly string[],
): Period | null {
  const latest = months.at(-1);
  if (latest === undefined) return null;
  const { from, to, month } = query;
  if (isDate(from) && isDate(to) && from <= to) return { kind: "days", from, to };
  if (month === "all") return { kind: "all" };
  return { kind: "month", month: months.find((one) => one === month) ?? latest };
}

/**
 * The local days of a period with their instants.
 *
 * @param months local months with results, ascending, at least one
 */
export function periodDays(period: Period, months: readonly string[], timezone: string): LocalPeriod {
  if (period.kind === "days") {
    const clock = clockOf(timezone);
    const toDate = dayAfter(period.to);
    return {
      fromDate: period.from,
      toDate,
      fromMs: clock.dateStartMs(period.from),
      toMs: clock.dateStartMs(toDate),
    };
  }
  const [first, last] =
    period.kind === "month" ? [period.month, period.month] : [months[0], months[months.length - 1]];
  return {
    fromDate: `${first}-01`,
    toDate: `${neighbourMonth(last, 1)}-01`,
    fromMs: localMonth(timezone, first).fromMs,
    toMs: localMonth(timezone, last).toMs,
  };
}

/** The period as the end of an address, "?month=2026-06". */
export function periodSearch(period: Period): string {
  if (period.kind === "days") return `?from=${period.from}&to=${period.to}`;
  return `?month=${period.kind === "all" ? "all" : period.month}`;
}

/** The period as people say it: "June 2026", "3 Jun 2026 to 9 Jun 2026", "all that was logged". */
export function periodName(period: Period): string {
  if (period.kind === "all") return "all that was logged";
  if (period.kind === "month") return formatMonth(period.month);
  return period.from === period.to
    ? dateName(period.from)
    : `${dateName(period.from)} to ${dateName(period.to)}`;
}

/** The period as it stands in a sentence: "in June 2026", "on 3 May 2026", "from 3 Jun 2026 to 9 Jun 2026". */
export function periodPhrase(period: Period): string {
  if (period.kind !== "days") return `in ${periodName(period)}`;
  return `${period.from === period.to ? "on" : "from"} ${periodName(period)}`;
}

function dateName(date: string): string {
  const [year, month, day] = date.split("-").map(Number);
  return `${day} ${MONTH_NAMES[month - 1].slice(0, 3)} ${year}`;
}

function isDate(given: string | string[] | undefined): given is string {
  if (typeof given !== "string" || !/^(19|20)\d\d-\d\d-\d\d$/.test(given)) return false;
  const at = Date.parse(`${given}T00:00:00Z`);
  return !Number.isNaN(at) && new Date(at).toISOString().startsWith(given);
}

function dayAfter(date: string): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);
}
