import { ne } from "drizzle-orm";
import { PASS_VERSION } from "../../src/analysis/pass-config";
import type { Database } from "../open-database";
import { siteResult } from "../schema/results";
import { enqueueRecompute } from "./enqueue-recompute";

/**
 * Puts in line what an older version of the program has computed: after an update its results would lack what they
 * hold now.
 *
 * @returns how many sites that are
 */
export async function recomputeOutdated(database: Database): Promise<number> {
  return database.orm.transaction(async (orm) => {
    const outdated = await orm
      .select({ siteId: siteResult.siteId })
      .from(siteResult)
      .where(ne(siteResult.passVersion, PASS_VERSION))
      .orderBy(siteResult.siteId);
    for (const { siteId } of outdated) await enqueueRecompute(orm, siteId);
    return outdated.length;
  });
}
