import { eq } from "drizzle-orm";
import type { ReturnDelay } from "../../src/analysis/results";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import type { Database } from "../open-database";
import { siteResult } from "../schema/results";
import { site } from "../schema/site";
import { type LocalPeriod, type PeriodResults, periodResults } from "./period-results";

/** Everything that the analysis found in a period of local days of a site, all of one revision. */
export type ResultsBetween = PeriodResults & {
  timezone: string;
  /** First instant of the period, and the first after it. */
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
      const { timezone, revision, samplesRevision, nominalMs, returnDelay } = found;
      const settings = found.settings ?? { ...DEFAULT_SETTINGS };
      const nominalS = nominalMs === null ? null : nominalMs / 1000;
      const all: ResultsBetween[] = [];
      for (const period of periodsOf(timezone)) {
        const { fromMs, toMs } = period;
        const results = await periodResults(orm, siteId, period, settings, nominalS);
        all.push({
          ...results,
          timezone,
          fromMs,
          toMs,
          revision,
          samplesRevision,
          settings,
          nominalS,
          returnDelay,
        });
      }
      return all;
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}
