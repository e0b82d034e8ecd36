import type { Database } from "../open-database";
import { type LocalPeriod, type PeriodResults, periodResults } from "./period-results";
import { ONE_SNAPSHOT, type ResultHead, resultHead } from "./result-head";

/** Everything that the analysis found in a period of local days of a site, all of one revision. */
export type ResultsBetween = PeriodResults &
  Omit<ResultHead, "computedAtMs"> & {
    /** First instant of the period, and the first after it. */
    fromMs: number;
    toMs: number;
  };

/**
 * Results of some periods of one site, read in one snapshot so that they are of one revision.
 *
 * @param periodsOf the periods, by the site's zone
 * @returns null where there is no such site; empty lists where a period has no samples
 */
export async function resultsBetween(
  database: Database,
  siteId: number,
  periodsOf: (timezone: string) => readonly LocalPeriod[],
): Promise<ResultsBetween[] | null> {
  return database.orm.transaction(async (orm) => {
    const head = await resultHead(orm, siteId);
    if (head === null) return null;
    const { computedAtMs: _, ...standing } = head;
    const all: ResultsBetween[] = [];
    for (const period of periodsOf(head.timezone)) {
      const { fromMs, toMs } = period;
      const results = await periodResults(orm, siteId, period, head.settings, head.nominalS);
      all.push({ ...results, ...standing, fromMs, toMs });
    }
    return all;
  }, ONE_SNAPSHOT);
}
