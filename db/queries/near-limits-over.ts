import { and, asc, eq, gt, lt, ne } from "drizzle-orm";
import type { NearLimitInterval } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { nearLimit } from "../schema/results";
import { RESULT_COLUMNS } from "./result-columns";

/** Near-limit intervals of the loads, L1, L2 or both, that overlap a stretch of a site, in order of their beginning. */
export async function nearLimitsOver(
  database: Database,
  siteId: number,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): Promise<NearLimitInterval[]> {
  return database.orm
    .select(RESULT_COLUMNS.nearLimit)
    .from(nearLimit)
    .where(
      and(
        eq(nearLimit.siteId, siteId),
        lt(nearLimit.fromMs, toMs),
        gt(nearLimit.toMs, fromMs),
        ne(nearLimit.quantity, "pass-through"),
      ),
    )
    .orderBy(asc(nearLimit.fromMs));
}
