import { localMonth } from "../../db/queries/local-month";
import type { TransferFilters } from "../../db/queries/transfers-of";
import type { Certainty } from "../../src/analysis/results";
import { TRANSFER_CAUSES, type TransferCause } from "../../src/analysis/series";

/** What the address of the transfers' sheet can narrow them to; absent means all. */
export type TransferQuery = {
  month?: string;
  cause?: TransferCause;
  certainty?: Certainty;
  leg?: "L1" | "L2" | "total";
};

export const CERTAINTIES = ["seen", "inferred", "none"] as const satisfies readonly Certainty[];
export const LEGS = ["L1", "L2", "total"] as const;

/** Reads the query of an address. What isn't one of the known words is left out, as if it weren't there. */
export function parseTransferQuery(
  query: { readonly [key: string]: string | string[] | undefined },
  months: readonly string[],
): TransferQuery {
  return {
    month: oneOf(months, query.month),
    cause: oneOf(TRANSFER_CAUSES, query.cause),
    certainty: oneOf(CERTAINTIES, query.certainty),
    leg: oneOf(LEGS, query.leg),
  };
}

/** The query as the database takes it. */
export function transferFilters(
  { month, cause, certainty, leg }: TransferQuery,
  timezone: string,
): TransferFilters {
  const { fromMs, toMs } = month === undefined ? {} : localMonth(timezone, month);
  return { cause, certainty, limiting: leg, fromMs, toMs };
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
