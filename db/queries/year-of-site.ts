import { and, asc, eq, gte, lt } from "drizzle-orm";
import { createLocalClock } from "../../src/analysis/local-time";
import type { DayResult } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { dayResult, dropout, transfer } from "../schema/results";
import { site } from "../schema/site";
import { RESULT_COLUMNS } from "./result-columns";

/** A day with how many transfers and dropouts began in it. */
export type YearDay = DayResult & { transfers: number; dropouts: number };

/** The days of one local year of a site that have samples, all of one revision. */
export type YearOfSite = {
  year: string;
  /** First instant of the year, and of the next. */
  fromMs: number;
  toMs: number;
  /** What the results were computed from; null before the first time. */
  revision: number | null;
  samplesRevision: number;
  /** Ascending. */
  days: YearDay[];
};

/**
 * A year's days, read in one snapshot; a row a day, so that a whole year is read at once.
 *
 * @param year yyyy at the site
 * @returns null where there is no such site; no days where the year has no samples
 */
export async function yearOfSite(
  database: Database,
  siteId: number,
  year: string,
): Promise<YearOfSite | null> {
  return database.orm.transaction(
    async (orm) => {
      const [found] = await orm
        .select({
          timezone: site.timezone,
          revision: site.resultsRevision,
          samplesRevision: site.samplesRevision,
        })
        .from(site)
        .where(eq(site.siteId, siteId));
      if (found === undefined) return null;
      const clock = createLocalClock(found.timezone);
      const [from, to] = [`${year}-01-01`, `${Number(year) + 1}-01-01`];
      const [fromMs, toMs] = [from, to].map((date) => clock.dateStartMs(date));
      const rows = await orm
        .select({ ...RESULT_COLUMNS.day, shares: RESULT_COLUMNS.shares })
        .from(dayResult)
        .where(and(eq(dayResult.siteId, siteId), gte(dayResult.date, from), lt(dayResult.date, to)))
        .orderBy(asc(dayResult.date));
      const transfers = await orm
        .select({ atMs: transfer.atMs })
        .from(transfer)
        .where(and(eq(transfer.siteId, siteId), gte(transfer.atMs, fromMs), lt(transfer.atMs, toMs)));
      const dropouts = await orm
        .select({ atMs: dropout.atMs })
        .from(dropout)
        .where(and(eq(dropout.siteId, siteId), gte(dropout.atMs, fromMs), lt(dropout.atMs, toMs)));
      const { revision, samplesRevision } = found;
      const within = (events: readonly { atMs: number }[], day: DayResult) =>
        events.filter(({ atMs }) => atMs >= day.fromMs && atMs < day.toMs).length;
      const days = rows.map((day) => ({
        ...day,
        transfers: within(transfers, day),
        dropouts: within(dropouts, day),
      }));
      return { year, fromMs, toMs, revision, samplesRevision, days };
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}
