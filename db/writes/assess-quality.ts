import { createLocalClock } from "../../src/analysis/local-time";
import { type QualityDay, qualityDay } from "../../src/analysis/quality-day";
import { ratingsAt, ratingsPeriods } from "../../src/analysis/ratings-in-force";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import { readMinutes } from "../samples/read-minutes";
import { type SampledLogger, sampledLoggers } from "../samples/sampled-loggers";
import { checkedSite } from "./add-site";
import { storableJson } from "./storable-json";

/** Minutes of so many days are held at a time. */
const DAYS_AT_A_TIME = 31;
const MINUTE_MS = 60_000;

/**
 * Looks through the days whose samples, ratings or zone have changed since it was last done, with a day on each
 * side, since holds reach over midnight; days that have no samples any more go. Readers see the days of before
 * until all are done.
 *
 * @returns days that were looked at
 * @throws AppError not-found (site), cancelled (by the signal, which leaves the days of before)
 */
export async function assessQuality(
  database: Database,
  siteId: number,
  { signal }: { signal?: AbortSignal } = {},
): Promise<number> {
  return database.sql.begin(async (tx) => {
    const [row] = await tx<
      { config: unknown; revision: number; fromMs: number | null; toMs: number | null }[]
    >`
      select config, samples_revision as revision, assess_from_ms as "fromMs", assess_to_ms as "toMs"
      from site where site_id = ${siteId}`;
    if (row === undefined)
      throw new AppError("not-found", "There is no such site; it may have been removed.");
    if (row.fromMs === null || row.toMs === null) return 0;
    const site = checkedSite(row.config);
    const clock = createLocalClock(site.timezone);
    const periods = ratingsPeriods(site.ratings, clock);
    const { stored } = await sampledLoggers(tx, siteId);
    const all = row.fromMs === Number.MIN_SAFE_INTEGER;
    const fromMs = all ? row.fromMs : clock.startOfDayMs(clock.startOfDayMs(row.fromMs) - 1);
    const toMs = all ? row.toMs : clock.nextDayMs(clock.nextDayMs(row.toMs));
    await tx`delete from quality_day where site_id = ${siteId} and from_ms >= ${fromMs} and from_ms < ${toMs}`;
    let count = 0;
    for (const logger of stored) {
      const firstMs = Math.max(fromMs, clock.startOfDayMs(logger.firstMs));
      // The last sample's hold can reach a day further.
      const endMs = Math.min(toMs, clock.nextDayMs(clock.nextDayMs(logger.lastMs)));
      for (let at = firstMs; at < endMs; ) {
        if (signal?.aborted) throw new AppError("cancelled", "Looking through the logs was stopped.");
        let until = at;
        for (let day = 0; day < DAYS_AT_A_TIME && until < endMs; day++) until = clock.nextDayMs(until);
        const read = (of: SampledLogger) =>
          readMinutes(tx, siteId, of.loggerId, of.channels, at - MINUTE_MS, until);
        const minutes = await read(logger);
        const first = logger === stored[0] ? null : await read(stored[0]);
        const days: QualityDay[] = [];
        let from = minutes.minuteMs.findIndex((minuteMs) => minuteMs >= at);
        while (from !== -1 && from < minutes.minuteMs.length) {
          const endOfDayMs = clock.nextDayMs(minutes.minuteMs[from]);
          let to = from;
          while (to < minutes.minuteMs.length && minutes.minuteMs[to] < endOfDayMs) to++;
          days.push(qualityDay(minutes, first, ratingsAt(periods, minutes.minuteMs[from]), clock, from, to));
          from = to;
        }
        await insert(tx, siteId, logger, days);
        count += days.length;
        at = until;
      }
    }
    // Where something has changed meanwhile, the stretch stays to be looked at again.
    await tx`
      update site set assess_from_ms = null, assess_to_ms = null
      where site_id = ${siteId} and samples_revision = ${row.revision}`;
    return count;
  });
}

async function insert(
  tx: TransactionSql,
  siteId: number,
  { loggerId }: SampledLogger,
  days: readonly QualityDay[],
): Promise<void> {
  if (days.length === 0) return;
  await tx`
    insert into quality_day (site_id, logger_id, date, from_ms, found)
    select ${siteId}::int, ${loggerId}::int, day ->> 'date', (day ->> 'fromMs')::bigint, day
    from jsonb_array_elements(${storableJson(days)}::text::jsonb) as day`;
}
