import { and, asc, eq, gte, lt, sql } from "drizzle-orm";
import type { Certainty, Transfer, TransferTag } from "../../src/analysis/results";
import type { TransferCause } from "../../src/analysis/series";
import type { Database } from "../open-database";
import { transfer } from "../schema/results";
import { RESULT_COLUMNS } from "./result-columns";

/** What a list of transfers can be narrowed to; absent means all. `toMs` is exclusive. */
export type TransferFilters = {
  cause?: TransferCause;
  certainty?: Certainty;
  limiting?: "L1" | "L2" | "total";
  tag?: TransferTag;
  avoidable?: boolean;
  fromMs?: number;
  toMs?: number;
};

/** Transfers of a site, ascending in time. */
export async function transfersOf(
  database: Database,
  siteId: number,
  filters: TransferFilters = {},
): Promise<Transfer[]> {
  return database.orm
    .select(RESULT_COLUMNS.transfer)
    .from(transfer)
    .where(
      and(
        eq(transfer.siteId, siteId),
        filters.cause === undefined ? undefined : eq(transfer.cause, filters.cause),
        filters.certainty === undefined ? undefined : eq(transfer.certainty, filters.certainty),
        filters.limiting === undefined ? undefined : eq(transfer.limiting, filters.limiting),
        filters.tag === undefined ? undefined : sql`${transfer.tags} @> to_jsonb(${filters.tag}::text)`,
        filters.avoidable === undefined ? undefined : eq(transfer.avoidable, filters.avoidable),
        filters.fromMs === undefined ? undefined : gte(transfer.atMs, filters.fromMs),
        filters.toMs === undefined ? undefined : lt(transfer.atMs, filters.toMs),
      ),
    )
    .orderBy(asc(transfer.atMs));
}
