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

/**
 * Builds the minutes around a stretch anew from the stored samples: those from the last sample before
 * `fromMs` to the first after `toMs`, whose holds the stretch can have changed. Memory stays the same however
 * long it is.
 */
export async function rebuildMinutes(
  tx: TransactionSql,
  logger: RebuiltLogger,
  fromMs: number,
  toMs: number,
): Promise<void> {
  for (let from = fromMs; from <= toMs; from += WINDOW_MS) {
    await rebuildWindow(tx, logger, from, Math.min(toMs, from + WINDOW_MS - 1));
  }
}

async function rebuildWindow(
  tx: TransactionSql,
  logger: RebuiltLogger,
  fromMs: number,
  toMs: number,
): Promise<void> {
  const { siteId, loggerId } = logger;
  const [around] = await tx<{ beforeMs: number | null; afterMs: number | null }[]>`
    select
      (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms < ${fromMs}::bigint order by at_ms desc limit 1) as "beforeMs",
      (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms > ${toMs}::bigint order by at_ms limit 1) as "afterMs"`;
  const firstMinute = around.beforeMs === null ? null : Math.floor(around.beforeMs / 60_000) * 60_000;
  const endMinute = around.afterMs === null ? null : Math.floor(around.afterMs / 60_000) * 60_000 + 60_000;
  // One sample more on each side: its hold reaches into the first minute, and ends the last one's.
  const [wider] = await tx<{ fromMs: number | null; toMs: number | null }[]>`
    select
      (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms < ${firstMinute}::bigint order by at_ms desc limit 1) as "fromMs",
      (select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        and at_ms >= ${endMinute}::bigint order by at_ms limit 1) as "toMs"`;
  await tx`
    delete from rollup where site_id = ${siteId} and logger_id = ${loggerId}
      and (${firstMinute}::bigint is null or minute_ms >= ${firstMinute})
      and (${endMinute}::bigint is null or minute_ms < ${endMinute})`;
  const encode = createMinuteEncoder(siteId, loggerId, logger.channels, logger.hasSource);
  const rows: Buffer[] = [];
  const rollup = createMinuteRollup(
    logger.channels,
    (minute) => {
      if (firstMinute !== null && minute.minuteMs < firstMinute) return;
      if (endMinute !== null && minute.minuteMs >= endMinute) return;
      rows.push(encode(minute));
    },
    logger.nominalMs > 0 ? { nominalMs: logger.nominalMs, segmentMs: logger.nominalMs } : null,
  );
  const samples = readSamples(tx, {
    siteId,
    logger: { ...logger, hasFault: false, faultIndex: new Uint16Array(0) },
    fromMs: wider.fromMs ?? firstMinute ?? undefined,
    toMs: wider.toMs ?? undefined,
  });
  for await (const series of samples) rollup.push(series);
  rollup.finish(wider.toMs);
  const into = await openCopyIn(tx, `copy rollup (${MINUTE_COLUMNS}) from stdin with (format binary)`);
  try {
    for (const row of rows) await into.write(row);
    await into.end();
  } catch (error) {
    into.abort();
    throw error;
  }
}
