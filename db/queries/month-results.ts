import type { Database } from "../open-database";
import { monthPeriod } from "./local-period";
import { type ResultsBetween, resultsBetween } from "./results-between";

/** Everything that the analysis found in one local month of a site, all of one revision. */
export type MonthResults = ResultsBetween & { month: string };

/**
 * Results of one month, read in one snapshot so that they are of one revision.
 *
 * @param month yyyy-MM at the site
 * @returns null where there is no such site; empty lists where the month has no samples
 * @throws RangeError where the month doesn't exist
 */
export async function monthResults(
  database: Database,
  siteId: number,
  month: string,
): Promise<MonthResults | null> {
  const found = await resultsBetween(database, siteId, (timezone) => [monthPeriod(timezone, month)]);
  return found === null ? null : { ...found[0], month };
}
