import { and, asc, desc, eq, gt, lt } from "drizzle-orm";
import { createLocalClock } from "../../src/analysis/local-time";
import type { Database } from "../open-database";
import { dayResult } from "../schema/results";
import { nextDate } from "./local-month";
import { type PeriodResults, periodResults } from "./period-results";
import { ONE_SNAPSHOT, type ResultHead, resultHead } from "./result-head";

/** Everything that the analysis found in one local day of a site, all of one revision. */
export type DayResults = PeriodResults &
  Pick<ResultHead, "revision" | "samplesRevision" | "settings" | "nominalS"> & {
    /** yyyy-MM-dd at the site. */
    date: string;
    /** First instant of the day, and of the next. */
    fromMs: number;
    toMs: number;
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
  return database.orm.transaction(async (orm) => {
    const head = await resultHead(orm, siteId);
    if (head === null) return null;
    const clock = createLocalClock(head.timezone);
    const fromMs = clock.dateStartMs(date);
    const toMs = clock.nextDayMs(fromMs);
    const { revision, samplesRevision, settings, nominalS } = head;
    const period = { fromDate: date, toDate: nextDate(date), fromMs, toMs };
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
      revision,
      samplesRevision,
      settings,
      nominalS,
      dateBefore: before?.date ?? null,
      dateAfter: after?.date ?? null,
    };
  }, ONE_SNAPSHOT);
}
