import type { DateRange } from "../../db/queries/legs-results";
import { formatMonth } from "../../src/report/format";
import { localTime } from "../_format/local-time";

/** The period of a sheet, as its address has it. */
export type Period =
  | { readonly kind: "month"; readonly month: string }
  | { readonly kind: "days"; readonly from: string; readonly to: string }
  | { readonly kind: "all" };

/**
 * Reads the period of an address: `?month=yyyy-MM`, `?from=yyyy-MM-dd&to=yyyy-MM-dd` (both days counting), or
 * `?period=all`. Without any it is the latest month with samples. What can't be a period is named in `problem`, and
 * the latest month stands instead.
 *
 * @param months with samples, ascending
 */
export function parsePeriod(
  query: { readonly [key: string]: string | string[] | undefined },
  months: readonly string[],
): { period: Period; problem: string | null } {
  const latest = months.at(-1);
  const usual: Period = latest === undefined ? { kind: "all" } : { kind: "month", month: latest };
  const wrong = (problem: string) => ({ period: usual, problem });
  const { month, from, to, period } = query;
  if (period === "all") return { period: { kind: "all" }, problem: null };
  if (month !== undefined) {
    return isMonth(month)
      ? { period: { kind: "month", month }, problem: null }
      : wrong(`The month in the address, “${month}”, is none: write it as month=2026-05.`);
  }
  if (from === undefined && to === undefined) return { period: usual, problem: null };
  if (!isDate(from) || !isDate(to)) {
    const name = isDate(from) ? "to" : "from";
    return wrong(
      `The address gives no day for “${name}”: a period is written as from=2026-05-01&to=2026-05-14, both days counting.`,
    );
  }
  if (to < from) return wrong(`The period in the address ends (${to}) before it begins (${from}).`);
  return { period: { kind: "days", from, to }, problem: null };
}

/** The dates of a period; null for all there are. */
export function datesOfPeriod(period: Period): DateRange | null {
  switch (period.kind) {
    case "all":
      return null;
    case "days":
      return { firstDate: period.from, lastDate: period.to };
    case "month": {
      const [year, month] = period.month.split("-").map(Number);
      const last = new Date(Date.UTC(year, month, 0)).getUTCDate();
      return { firstDate: `${period.month}-01`, lastDate: `${period.month}-${last}` };
    }
  }
}

/** The period as the end of an address. */
export function periodSearch(period: Period): string {
  switch (period.kind) {
    case "all":
      return "?period=all";
    case "days":
      return `?from=${period.from}&to=${period.to}`;
    case "month":
      return `?month=${period.month}`;
  }
}

/** The period in words: "May 2026", "4 May to 11 May 2026", "the whole log". */
export function periodWords(period: Period): string {
  switch (period.kind) {
    case "all":
      return "the whole log";
    case "month":
      return formatMonth(period.month);
    case "days": {
      const day = (date: string) => localTime(Date.parse(`${date}T12:00:00Z`), "UTC");
      const [first, last] = [day(period.from), day(period.to)];
      if (period.from === period.to) return first.day;
      const sameYear = period.from.slice(0, 4) === period.to.slice(0, 4);
      return `${sameYear ? first.shortDay : first.day} to ${last.day}`;
    }
  }
}

/** The period as a sentence begins with it: "In May 2026", "From 4 May to 11 May 2026", "In the whole log". */
export function periodWhen(period: Period): string {
  const words = periodWords(period);
  if (period.kind !== "days") return `In ${words}`;
  return period.from === period.to ? `On ${words}` : `From ${words}`;
}

function isMonth(text: string | string[]): text is string {
  return typeof text === "string" && /^(19|20)\d\d-(0[1-9]|1[0-2])$/.test(text);
}

function isDate(text: string | string[] | undefined): text is string {
  if (typeof text !== "string" || !/^(19|20)\d\d-\d\d-\d\d$/.test(text)) return false;
  const at = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().slice(0, 10) === text;
}
