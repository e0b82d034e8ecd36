import { localMonth } from "../../db/queries/local-month";
import type { TransferFilters } from "../../db/queries/transfers-of";
import type { Certainty, Transfer, TransferTag } from "../../src/analysis/results";
import { TRANSFER_CAUSES, type TransferCause } from "../../src/analysis/series";
import { clockOf } from "../../src/report/format";
import { localTime } from "../_format/local-time";

/** What the address of the transfers' sheet can narrow them to; absent means all. */
export type TransferQuery = {
  month?: string;
  /** First and last local day, yyyy-MM-dd. */
  from?: string;
  to?: string;
  cause?: TransferCause;
  certainty?: Certainty;
  leg?: "L1" | "L2" | "total";
  tag?: TransferTag | "avoidable";
  /** Clock hour in which it began, 0 to 23, and weekday, 0 = Monday. */
  hour?: string;
  weekday?: string;
};

export const CERTAINTIES = ["seen", "inferred", "none"] as const satisfies readonly Certainty[];
export const LEGS = ["L1", "L2", "total"] as const;

/** Tags by which transfers can be narrowed; `avoidable` is one-leg or stacked-starts (definitions D7). */
export const TAGS = ["avoidable", "one-leg", "stacked-starts", "within-allowance", "repeat"] as const;

const HOURS = Array.from({ length: 24 }, (_, hour) => String(hour));
const WEEKDAY_NUMBERS = ["0", "1", "2", "3", "4", "5", "6"];

/** Reads the query of an address. What isn't one of the known words is left out, as if it weren't there. */
export function parseTransferQuery(
  query: { readonly [key: string]: string | string[] | undefined },
  months: readonly string[],
): TransferQuery {
  return {
    month: oneOf(months, query.month),
    from: dateOf(query.from),
    to: dateOf(query.to),
    cause: oneOf(TRANSFER_CAUSES, query.cause),
    certainty: oneOf(CERTAINTIES, query.certainty),
    leg: oneOf(LEGS, query.leg),
    tag: oneOf(TAGS, query.tag),
    hour: oneOf(HOURS, query.hour),
    weekday: oneOf(WEEKDAY_NUMBERS, query.weekday),
  };
}

/** The query as the database takes it; `narrowed` does the rest. */
export function transferFilters(
  { month, from, to, cause, certainty, leg, tag }: TransferQuery,
  timezone: string,
): TransferFilters {
  const bounds = month === undefined ? { fromMs: undefined, toMs: undefined } : localMonth(timezone, month);
  const clock = clockOf(timezone);
  const fromMs = from === undefined ? undefined : clock.dateStartMs(from);
  const toMs = to === undefined ? undefined : clock.nextDayMs(clock.dateStartMs(to));
  return {
    cause,
    certainty,
    limiting: leg,
    tag: tag === "avoidable" ? undefined : tag,
    avoidable: tag === "avoidable" ? true : undefined,
    fromMs: later(bounds.fromMs, fromMs),
    toMs: earlier(bounds.toMs, toMs),
  };
}

/** Those of the transfers that begin in the hour and on the weekday that the query says, by the site's clock. */
export function narrowed(
  transfers: readonly Transfer[],
  { hour, weekday }: TransferQuery,
  timezone: string,
): Transfer[] {
  return transfers.filter(({ atMs }) => {
    if (hour === undefined && weekday === undefined) return true;
    const at = localTime(atMs, timezone);
    return (
      (hour === undefined || at.hour === Number(hour)) &&
      (weekday === undefined || at.weekday === Number(weekday))
    );
  });
}

/** The query as the end of an address, "?cause=overload"; empty where nothing is narrowed. */
export function transferSearch(query: TransferQuery): string {
  const search = new URLSearchParams(
    Object.entries(query).filter(([, value]) => value !== undefined),
  ).toString();
  return search === "" ? "" : `?${search}`;
}

function oneOf<T extends string>(words: readonly T[], given: string | string[] | undefined): T | undefined {
  return words.find((word) => word === given);
}

function dateOf(given: string | string[] | undefined): string | undefined {
  if (typeof given !== "string" || !/^(19|20)\d\d-\d\d-\d\d$/.test(given)) return undefined;
  const at = Date.parse(`${given}T00:00:00Z`);
  return Number.isNaN(at) || !new Date(at).toISOString().startsWith(given) ? undefined : given;
}

function later(a: number | undefined, b: number | undefined): number | undefined {
  return a === undefined ? b : b === undefined ? a : Math.max(a, b);
}

function earlier(a: number | undefined, b: number | undefined): number | undefined {
  return a === undefined ? b : b === undefined ? a : Math.min(a, b);
}
