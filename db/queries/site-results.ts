import { eq } from "drizzle-orm";
import { nearLimitOrder } from "../../src/analysis/near-limit-order";
import type { ReviewResult } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { siteResult } from "../schema/results";
import { periodResults } from "./period-results";

/**
 * The stored results of a site's whole history, in the shape and to the bit of what `review` gives of the same
 * logs; null where it has none. Read in one snapshot.
 */
export async function siteResults(database: Database, siteId: number): Promise<ReviewResult | null> {
  return database.orm.transaction(
    async (orm) => {
      const [whole] = await orm.select().from(siteResult).where(eq(siteResult.siteId, siteId));
      if (whole === undefined) return null;
      const period = {
        fromDate: "0000-01-01",
        toDate: "9999-12-31",
        fromMs: -Number.MAX_SAFE_INTEGER,
        toMs: Number.MAX_SAFE_INTEGER,
      };
      const nominalS = whole.nominalMs === null ? null : whole.nominalMs / 1000;
      const { gaps, ...results } = await periodResults(orm, siteId, period, whole.settings, nominalS);
      return {
        ...results,
        nearLimit: results.nearLimit.sort(nearLimitOrder),
        coverage: { ...whole.coverage, gaps },
        total: whole.total,
        returnDelay: whole.returnDelay,
      };
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}
