import { asc, desc, eq } from "drizzle-orm";
import { type LegFigures, legFigures } from "../../src/analysis/leg-figures";
import { createLocalClock } from "../../src/analysis/local-time";
import type { ReturnDelay } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { dayResult } from "../schema/results";
import { nextDate } from "./local-month";
import { type PeriodResults, periodResults } from "./period-results";
import { ONE_SNAPSHOT, type ResultHead, resultHead } from "./result-head";

/** Local dates of a site, both counting (yyyy-MM-dd). */
export type DateRange = { firstDate: string; lastDate: string };

/** What the analysis found in a period, with the figures of its two legs, all of one revision. */
export type LegsResults = PeriodResults &
  Pick<ResultHead, "revision" | "samplesRevision" | "settings" | "nominalS"> & {
    legs: LegFigures;
    /** The period that the figures stand for; null where the site has no samples at all. */
    range: DateRange | null;
    /** First instant of the period, and the first one after it. */
    fromMs: number;
    toMs: number;
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
  return database.orm.transaction(async (orm) => {
    const head = await resultHead(orm, siteId);
    if (head === null) return null;
    const days = () =>
      orm.select({ date: dayResult.date }).from(dayResult).where(eq(dayResult.siteId, siteId));
    const [first] = range === null ? await days().orderBy(asc(dayResult.date)).limit(1) : [];
    const [last] = range === null ? await days().orderBy(desc(dayResult.date)).limit(1) : [];
    const whole = first === undefined ? null : { firstDate: first.date, lastDate: last.date };
    const shown = range ?? whole;
    const clock = createLocalClock(head.timezone);
    const period =
      shown === null
        ? { fromDate: "0000-01-01", toDate: "0000-01-01", fromMs: 0, toMs: 0 }
        : {
            fromDate: shown.firstDate,
            toDate: nextDate(shown.lastDate),
            fromMs: clock.dateStartMs(shown.firstDate),
            toMs: clock.dateStartMs(nextDate(shown.lastDate)),
          };
    const { revision, samplesRevision, settings, nominalS } = head;
    const results = await periodResults(orm, siteId, period, settings, nominalS);
    return {
      ...results,
      legs: legFigures(results.days),
      range: shown,
      fromMs: period.fromMs,
      toMs: period.toMs,
      revision,
      samplesRevision,
      settings,
      nominalS,
      returnDelay: null,
    };
  }, ONE_SNAPSHOT);
}
