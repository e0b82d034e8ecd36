import { asc, desc, eq } from "drizzle-orm";
import { type LegFigures, legFigures } from "../../src/analysis/leg-figures";
import { createLocalClock } from "../../src/analysis/local-time";
import type { ReturnDelay } from "../../src/analysis/results";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import type { Database } from "../open-database";
import { dayResult, siteResult } from "../schema/results";
import { site } from "../schema/site";
import { nextDate } from "./local-month";
import { type PeriodResults, periodResults } from "./period-results";

/** Local dates of a site, both counting (yyyy-MM-dd). */
export type DateRange = { firstDate: string; lastDate: string };

/** What the analysis found in a period, with the figures of its two legs, all of one revision. */
export type LegsResults = PeriodResults & {
  legs: LegFigures;
  /** The period that the figures stand for; null where the site has no samples at all. */
  range: DateRange | null;
  /** First instant of the period, and the first one after it. */
  fromMs: number;
  toMs: number;
  /** What the results were computed from; null before the first time. */
  revision: number | null;
  samplesRevision: number;
  /** Settings that the results were computed with; the defaults before the first time. */
  settings: Settings;
  /** Nominal interval of the log, s; null where it isn't known. */
  nominalS: number | null;
  /** Return delays are told for the whole history alone. */
  returnDelay: ReturnDelay | null;
};

/**
 * Results of a period of local days with the figures of the two legs, read in one snapshot.
 *
 * @param range null: from the first day with samples to the last
 * @returns null where there is no such site; empty lists where the period has no samples
 * @throws RangeError where a date doesn't exist
 */
export async function legsResults(
  database: Database,
  siteId: number,
  range: DateRange | null,
): Promise<LegsResults | null> {
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
      const days = () =>
        orm.select({ date: dayResult.date }).from(dayResult).where(eq(dayResult.siteId, siteId));
      const [first] = range === null ? await days().orderBy(asc(dayResult.date)).limit(1) : [];
      const [last] = range === null ? await days().orderBy(desc(dayResult.date)).limit(1) : [];
      const whole = first === undefined ? null : { firstDate: first.date, lastDate: last.date };
      const shown = range ?? whole;
      const clock = createLocalClock(found.timezone);
      const period =
        shown === null
          ? { fromDate: "0000-01-01", toDate: "0000-01-01", fromMs: 0, toMs: 0 }
          : {
              fromDate: shown.firstDate,
              toDate: nextDate(shown.lastDate),
              fromMs: clock.dateStartMs(shown.firstDate),
              toMs: clock.dateStartMs(nextDate(shown.lastDate)),
            };
      const settings = found.settings ?? { ...DEFAULT_SETTINGS };
      const nominalS = found.nominalMs === null ? null : found.nominalMs / 1000;
      const results = await periodResults(orm, siteId, period, settings, nominalS);
      return {
        ...results,
        legs: legFigures(results.days),
        range: shown,
        fromMs: period.fromMs,
        toMs: period.toMs,
        revision: found.revision,
        samplesRevision: found.samplesRevision,
        settings,
        nominalS,
        returnDelay: null,
      };
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}
