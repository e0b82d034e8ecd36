import { and, asc, eq, gte, inArray, lt } from "drizzle-orm";
import type { NumericChannel } from "../../src/analysis/series";
import type { Database } from "../open-database";
import { channelIndex } from "../samples/sample-columns";
import { sampledLoggers } from "../samples/sampled-loggers";
import { rollup } from "../schema/rollup";

/** Mean, least and greatest value by minute; NaN where a channel has none in that minute. */
export type MinuteValues = { mean: Float64Array; min: Float64Array; max: Float64Array };

/** Minutes that anything stands in, ascending, as columns of equal length. */
export type SiteMinutes = {
  /** UTC minutes, epoch ms. */
  timesMs: Float64Array;
  channels: Partial<Record<NumericChannel, MinuteValues>>;
};

/**
 * UTC minutes of a site with `fromMs ≤ minute < toMs`, of several loggers put together: each channel by the logger
 * that it counts from. Null where the site has no samples.
 */
export async function minutesOfSite(
  database: Database,
  siteId: number,
  fromMs: number,
  toMs: number,
): Promise<SiteMinutes | null> {
  const { loggers } = await sampledLoggers(database.sql, siteId);
  if (loggers.length === 0) return null;
  const rows = await database.orm
    .select({
      loggerId: rollup.loggerId,
      minuteMs: rollup.minuteMs,
      mean: rollup.mean,
      min: rollup.min,
      max: rollup.max,
    })
    .from(rollup)
    .where(
      and(
        eq(rollup.siteId, siteId),
        inArray(
          rollup.loggerId,
          loggers.map(({ loggerId }) => loggerId),
        ),
        gte(rollup.minuteMs, fromMs),
        lt(rollup.minuteMs, toMs),
      ),
    )
    .orderBy(asc(rollup.minuteMs));
  const minutes = [...new Set(rows.map(({ minuteMs }) => minuteMs))];
  const place = new Map(minutes.map((minuteMs, at) => [minuteMs, at]));
  const channels: SiteMinutes["channels"] = {};
  const empty = () => new Float64Array(minutes.length).fill(Number.NaN);
  for (const logger of loggers) {
    const own = rows.filter(({ loggerId }) => loggerId === logger.loggerId);
    for (const channel of logger.channels) {
      const index = channelIndex(channel);
      const column = { mean: empty(), min: empty(), max: empty() };
      for (const row of own) {
        const at = place.get(row.minuteMs)!;
        column.mean[at] = row.mean[index] ?? Number.NaN;
        column.min[at] = row.min[index] ?? Number.NaN;
        column.max[at] = row.max[index] ?? Number.NaN;
      }
      channels[channel] = column;
    }
  }
  return { timesMs: Float64Array.from(minutes), channels };
}
