import type { NumericChannel } from "../../src/analysis/series";
import { openCopyIn, type TransactionSql } from "./copy-in";
import { createMinuteEncoder, MINUTE_COLUMNS } from "./encode-minutes";
import { createMinuteRollup } from "./minute-rollup";
import { readSamples } from "./read-samples";

/** The logger whose minutes are rebuilt, with what it has now. */
export type RebuiltLogger = {
  siteId: number;
  loggerId: number;
  channels: NumericChannel[];
  hasSource: boolean;
  nominalMs: number;
};

/** Minutes of so long a stretch are held in memory as rows, some half a kilobyte each. */
const WINDOW_MS = 14 * 86_400_000;

/** Differences that make a new segment (definitions D1): a change can make one of as many around it. */
const SEGMENT_DIFFERENCES = 100;

/**
 * Builds the minutes around a stretch anew from the stored samples: those from the last sample before
 * `fromMs` to the first after `toMs`, whose holds the stretch can have changed. Memory stays the same however
 * long it is.
 *
 * @param range null for all of the logger's minutes
 * @returns whether the interval changes somewhere in what was looked at; where it does, all minutes were built anew
 */
export async function rebuildMinutes(
  tx: TransactionSql,
  logger: RebuiltLogger,
  range: { fromMs: number; toMs: number } | null,
): Promise<boolean> {
  if (range !== null && !(await rebuild(tx, logger, await around(tx, logger, range)))) return false;
  const [all] = await tx<{ fromMs: number | null; toMs: number | null }[]>`
    select min(at_ms) as "fromMs", max(at_ms) as "toMs" from sample
    where site_id = ${logger.siteId} and logger_id = ${logger.loggerId}`;
  return rebuild(tx, logger, {
    firstMinute: null,
    endMinute: null,
    fromMs: all.fromMs,
    toMs: all.toMs,
    nextMs: null,
  });
}

type Stretch = {
  /** Minutes to build: from this one, before that one; null for all there are on that side. */
  firstMinute: number | null;
  endMinute: number | null;
  /** First and last sample to read, null where there is none. */
  fromMs: number | null;
  toMs: number | null;
  /** The sample after the last one to read. */
  nextMs: number | null;
};

/** The stretch with the samples around it that its minutes hang on. */
async function around(
  tx: TransactionSql,
  { siteId, loggerId }: RebuiltLogger,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): Promise<Stretch> {
  const [near] = await tx<{ beforeMs: number | null; afterMs: number | null }[]>`
    select
      (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms < ${fromMs}::bigint order by at_ms desc limit 1) as "beforeMs",
      (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms > ${toMs}::bigint order by at_ms limit 1) as "afterMs"`;
  const firstMinute = near.beforeMs === null ? null : Math.floor(near.beforeMs / 60_000) * 60_000;
  const endMinute = near.afterMs === null ? null : Math.floor(near.afterMs / 60_000) * 60_000 + 60_000;
  // Further samples on each side: a hold may reach into the first minute and ends the last one's, and with those a
  // change of interval shows.
  // Where there are none beyond a minute's edge, the logger's first or last sample stands within that minute.
  // The limits are sub-selects for the same reason as in `nominalOf`.
  const [wide] = await tx<
    { fromMs: number | null; toMs: number | null; firstMs: number | null; lastMs: number | null }[]
  >`
    select
      (select min(at_ms) from sample where site_id = ${siteId} and logger_id = ${loggerId}) as "firstMs",
      (select max(at_ms) from sample where site_id = ${siteId} and logger_id = ${loggerId}) as "lastMs",
      (select min(at_ms) from (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms < ${firstMinute ?? fromMs}::bigint order by at_ms desc limit (select ${SEGMENT_DIFFERENCES}::int)) as b) as "fromMs",
      (select max(at_ms) from (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms >= ${endMinute ?? toMs}::bigint order by at_ms limit (select ${SEGMENT_DIFFERENCES}::int)) as a) as "toMs"`;
  const lastMs = wide.toMs ?? wide.lastMs ?? toMs;
  const [next] = await tx<{ atMs: number }[]>`
    select at_ms as "atMs" from sample where site_id = ${siteId} and logger_id = ${loggerId}
      and at_ms > ${lastMs}::bigint order by at_ms limit 1`;
  return {
    firstMinute,
    endMinute,
    fromMs: wide.fromMs ?? wide.firstMs ?? fromMs,
    toMs: lastMs,
    nextMs: next?.atMs ?? null,
  };
}

/** Replaces the minutes of a stretch. @returns whether the interval changes in it */
async function rebuild(tx: TransactionSql, logger: RebuiltLogger, stretch: Stretch): Promise<boolean> {
  const { siteId, loggerId } = logger;
  const { firstMinute, endMinute, nextMs } = stretch;
  await tx`
    delete from rollup where site_id = ${siteId} and logger_id = ${loggerId}
      and (${firstMinute}::bigint is null or minute_ms >= ${firstMinute})
      and (${endMinute}::bigint is null or minute_ms < ${endMinute})`;
  if (stretch.fromMs === null || stretch.toMs === null) return false;
  const encode = createMinuteEncoder(siteId, loggerId, logger.channels, logger.hasSource);
  let rows: Buffer[] = [];
  const rollup = createMinuteRollup(
    logger.channels,
    (minute) => {
      if (firstMinute !== null && minute.minuteMs < firstMinute) return;
      if (endMinute !== null && minute.minuteMs >= endMinute) return;
      rows.push(encode(minute));
    },
    logger.nominalMs > 0 ? { nominalMs: logger.nominalMs, segmentMs: logger.nominalMs } : null,
  );
  // The connection does one thing at a time: samples come out of it, then minutes go in.
  for (let fromMs = stretch.fromMs; fromMs <= stretch.toMs; fromMs += WINDOW_MS) {
    const samples = readSamples(tx, {
      siteId,
      logger: { ...logger, hasFault: false, faultIndex: new Uint16Array(0) },
      fromMs,
      toMs: Math.min(stretch.toMs + 1, fromMs + WINDOW_MS),
    });
    for await (const series of samples) rollup.push(series);
    await copyMinutes(tx, rows);
    rows = [];
  }
  rollup.finish(nextMs);
  await copyMinutes(tx, rows);
  return rollup.intervals().segments.length > 0;
}

async function copyMinutes(tx: TransactionSql, rows: readonly Buffer[]): Promise<void> {
  if (rows.length === 0) return;
  const into = await openCopyIn(tx, `copy rollup (${MINUTE_COLUMNS}) from stdin with (format binary)`);
  try {
    for (const row of rows) await into.write(row);
    await into.end();
  } catch (error) {
    into.abort();
    throw error;
  }
}
