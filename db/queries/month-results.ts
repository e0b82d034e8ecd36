import { eq } from "drizzle-orm";
import type { ReturnDelay } from "../../src/analysis/results";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import type { Database } from "../open-database";
import { siteResult } from "../schema/results";
import { site } from "../schema/site";
import { localMonth, neighbourMonth } from "./local-month";
import { type PeriodResults, periodResults } from "./period-results";

/** Everything that the analysis found in one local month of a site, all of one revision. */
export type MonthResults = PeriodResults & {
  month: string;
  timezone: string;
  /** First instant of the month, and of the next. */
  fromMs: number;
  toMs: number;
  /** What the results were computed from; null before the first time. */
  revision: number | null;
  samplesRevision: number;
  /** Settings that the results were computed with; the defaults before the first time. */
  settings: Settings;
  /** Nominal interval of the log, s; null where it isn't known. */
  nominalS: number | null;
  /** Return delay of the whole history; null before the first time. */
  returnDelay: ReturnDelay | null;
};

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
  return database.orm.transaction(
    async (orm) => {
      const [found] = await orm
        .select({
          timezone: site.timezone,
          revision: site.resultsRevision,
          samplesRevision: site.samplesRevision,
          settings: siteResult.settings,
          nominalMs: siteResult.nominalMs,
          returnDelay: siteResult.returnDelay,
        })
        .from(site)
        .leftJoin(siteResult, eq(siteResult.siteId, site.siteId))
        .where(eq(site.siteId, siteId));
      if (found === undefined) return null;
      const { fromMs, toMs } = localMonth(found.timezone, month);
      const { timezone, revision, samplesRevision, nominalMs, returnDelay } = found;
      const settings = found.settings ?? { ...DEFAULT_SETTINGS };
      const nominalS = nominalMs === null ? null : nominalMs / 1000;
      const period = { fromDate: `${month}-01`, toDate: `${neighbourMonth(month, 1)}-01`, fromMs, toMs };
      const results = await periodResults(orm, siteId, period, settings, nominalS);
      return {
        ...results,
        month,
        timezone,
        fromMs,
        toMs,
        revision,
        samplesRevision,
        settings,
        nominalS,
        returnDelay,
      };
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}
