import { and, asc, eq, gte, lt } from "drizzle-orm";
import type { NumericChannel } from "../../src/analysis/series";
import type { Database } from "../open-database";
import { channelIndex } from "../samples/sample-columns";
import { sampledLogger } from "../samples/sampled-logger";
import { rollup } from "../schema/rollup";

/** Minutes as columns of equal length; NaN where a channel has no value in that minute. */
export type MinuteColumns = {
  minuteMs: Float64Array;
  /** Held time in the minute, seconds. */
  heldS: Float32Array;
  channels: Partial<Record<NumericChannel, { mean: Float32Array; min: Float32Array; max: Float32Array }>>;
  /** Held seconds of each minute by source, in the order of SOURCES; null where the log has no source. */
  onS: number[][] | null;
};

/** UTC minutes with samples of a site, `fromMs ≤ minute < toMs`. Null where the site has no samples. */
export async function minutesBetween(
  database: Database,
  siteId: number,
  fromMs: number,
  toMs: number,
): Promise<MinuteColumns | null> {
  const logger = await sampledLogger(database.sql, siteId);
  if (logger === null) return null;
  const rows = await database.orm
    .select({
      minuteMs: rollup.minuteMs,
      heldS: rollup.heldS,
      mean: rollup.mean,
      min: rollup.min,
      max: rollup.max,
      onS: rollup.onS,
    })
    .from(rollup)
    .where(
      and(
        eq(rollup.siteId, siteId),
        eq(rollup.loggerId, logger.loggerId),
        gte(rollup.minuteMs, fromMs),
        lt(rollup.minuteMs, toMs),
      ),
    )
    .orderBy(asc(rollup.minuteMs));
  const channels: MinuteColumns["channels"] = {};
  for (const channel of logger.channels) {
    const index = channelIndex(channel);
    channels[channel] = {
      mean: Float32Array.from(rows, (row) => row.mean[index] ?? Number.NaN),
      min: Float32Array.from(rows, (row) => row.min[index] ?? Number.NaN),
      max: Float32Array.from(rows, (row) => row.max[index] ?? Number.NaN),
    };
  }
  return {
    minuteMs: Float64Array.from(rows, (row) => row.minuteMs),
    heldS: Float32Array.from(rows, (row) => row.heldS),
    channels,
    onS: logger.hasSource ? rows.map((row) => row.onS ?? [0, 0, 0, 0, 0]) : null,
  };
}
