import { and, asc, desc, eq, gt, lt } from "drizzle-orm";
import { createLocalClock } from "../../src/analysis/local-time";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import type { Database } from "../open-database";
import { dayResult, siteResult } from "../schema/results";
import { site } from "../schema/site";
import { type PeriodResults, periodResults } from "./period-results";

/** Everything that the analysis found in one local day of a site, all of one revision. */
export type DayResults = PeriodResults & {
  /** yyyy-MM-dd at the site. */
  date: string;
  /** First instant of the day, and of the next. */
  fromMs: number;
  toMs: number;
  /** What the results were computed from; null before the first time. */
  revision: number | null;
  samplesRevision: number;
  /** Settings that the results were computed with; the defaults before the first time. */
  settings: Settings;
  /** Nominal interval of the log, s; null where it isn't known. */
  nominalS: number | null;
  /** The nearest days with samples on either side, yyyy-MM-dd; null where there is none. */
  dateBefore: string | null;
  dateAfter: string | null;
};

/**
 * Results of one day, read in one snapshot so that they are of one revision.
 *
 * @param date yyyy-MM-dd at the site
 * @returns null where there is no such site; empty lists where the day has no samples
 * @throws RangeError where the day doesn't exist
 */
export async function dayResults(
  database: Database,
  siteId: number,
  date: string,
): Promise<DayResults | null> {
  return database.orm.transaction(
    async (orm) => {
      const [found] = await orm
        .select({
          timezone: site.timezone,
          revision: site.resultsRevision,
          samplesRevision: site.samplesRevision,
          settings: siteResult.settings,
          nominalMs: siteResult.nominalMs,
        })
        .from(site)
        .leftJoin(siteResult, eq(siteResult.siteId, site.siteId))
        .where(eq(site.siteId, siteId));
      if (found === undefined) return null;
      const clock = createLocalClock(found.timezone);
      const fromMs = clock.dateStartMs(date);
      const toMs = clock.nextDayMs(fromMs);
      const settings = found.settings ?? { ...DEFAULT_SETTINGS };
      const nominalS = found.nominalMs === null ? null : found.nominalMs / 1000;
      const period = { fromDate: date, toDate: followingDate(date), fromMs, toMs };
      const results = await periodResults(orm, siteId, period, settings, nominalS);
      const [before] = await orm
        .select({ date: dayResult.date })
        .from(dayResult)
        .where(and(eq(dayResult.siteId, siteId), lt(dayResult.date, date)))
        .orderBy(desc(dayResult.date))
        .limit(1);
      const [after] = await orm
        .select({ date: dayResult.date })
        .from(dayResult)
        .where(and(eq(dayResult.siteId, siteId), gt(dayResult.date, date)))
        .orderBy(asc(dayResult.date))
        .limit(1);
      return {
        ...results,
        date,
        fromMs,
        toMs,
        revision: found.revision,
        samplesRevision: found.samplesRevision,
        settings,
        nominalS,
        dateBefore: before?.date ?? null,
        dateAfter: after?.date ?? null,
      };
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}

function followingDate(date: string): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);
}
