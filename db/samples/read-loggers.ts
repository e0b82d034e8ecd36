import type { LocalClock } from "../../src/analysis/local-time";
import type { Series } from "../../src/analysis/series";
import type { TransactionSql } from "./copy-in";
import { readSamples } from "./read-samples";
import type { SampledLogger } from "./sampled-loggers";

/** Where the samples of several loggers go; the loggers by their place in the list. */
export type LoggersSink = {
  /** Takes the next samples of a logger, whose arrays are used again afterwards. */
  push(logger: number, series: Series): void;
  /** No more samples of that logger come. */
  end(logger: number): void;
  /** How many samples wait, and for samples of which logger; null where of none. */
  waits(): { waiting: number; forLogger: number | null };
  /** All samples before that instant have been given and none after it. True where the rest is not wanted. */
  midnight(atMs: number): boolean;
};

/** About as many samples of the fastest logger are read at a time. */
const WINDOW_SAMPLES = 16_384;
/** So many samples may wait; then the logger that they wait for is read ahead. */
const MOST_WAITING = 65_536;
/** How many samples ahead: holds are known a thousand samples later at most (definitions D1). */
const AHEAD_SAMPLES = 1024;
const MINUTE_MS = 60_000;

/**
 * Reads several loggers of a site together, stretch by stretch, all on one connection and of one snapshot. However
 * long a logger's gaps are and however far their intervals lie apart, memory stays the same: where too many
 * samples wait for a logger it is read ahead of the others, and midnights before what was read ahead are not told
 * (what is settled there already depends on later samples).
 *
 * @param fromMs samples before it are left out; null for all
 */
export async function readLoggers(
  tx: TransactionSql,
  siteId: number,
  loggers: readonly SampledLogger[],
  clock: Pick<LocalClock, "nextDayMs">,
  fromMs: number | null,
  sink: LoggersSink,
): Promise<void> {
  const lastMs = Math.max(...loggers.map((logger) => logger.lastMs));
  const windowMs =
    WINDOW_SAMPLES * Math.min(...loggers.map((logger) => Math.max(1, logger.nominalMs ?? MINUTE_MS)));
  let atMs = fromMs ?? Math.min(...loggers.map((logger) => logger.firstMs));
  let midnightMs = clock.nextDayMs(atMs);
  let sinceMidnight = 0;
  /** All samples of a logger before that have been given. */
  const givenMs = loggers.map(() => atMs);

  const give = async (logger: number, range: { toMs?: number; limit?: number }) => {
    let count = 0;
    const stretch = { siteId, logger: loggers[logger], fromMs: givenMs[logger], ...range };
    for await (const series of readSamples(tx, stretch)) {
      count += series.timesMs.length;
      givenMs[logger] = series.timesMs[series.timesMs.length - 1] + 1;
      sink.push(logger, series);
    }
    return count;
  };

  while (atMs <= lastMs) {
    const untilMs = Math.min(atMs + windowMs, midnightMs);
    let count = 0;
    for (let logger = 0; logger < loggers.length; logger++) {
      if (givenMs[logger] >= untilMs) continue;
      count += await give(logger, { toMs: untilMs });
      givenMs[logger] = untilMs;
    }
    let { waiting, forLogger } = sink.waits();
    while (waiting > MOST_WAITING && forLogger !== null) {
      if ((await give(forLogger, { limit: AHEAD_SAMPLES })) < AHEAD_SAMPLES) {
        givenMs[forLogger] = Number.POSITIVE_INFINITY;
        sink.end(forLogger);
      }
      ({ waiting, forLogger } = sink.waits());
    }
    sinceMidnight += count;
    atMs = untilMs;
    if (count === 0) atMs = Math.max(atMs, await nextSampleMs(tx, siteId, loggers, untilMs));
    if (atMs < midnightMs || atMs > lastMs) continue;
    if (sinceMidnight > 0 && givenMs.every((ms) => ms <= midnightMs)) {
      if (sink.midnight(midnightMs)) return;
      sinceMidnight = 0;
    }
    midnightMs = clock.nextDayMs(atMs);
  }
}

/** The next sample of any of the loggers; Infinity where there is none. */
async function nextSampleMs(
  tx: TransactionSql,
  siteId: number,
  loggers: readonly SampledLogger[],
  fromMs: number,
): Promise<number> {
  const [{ nextMs }] = await tx<{ nextMs: number | null }[]>`
    select min(next.at_ms) as "nextMs"
    from unnest(${loggers.map((logger) => logger.loggerId)}::int[]) as of (logger_id),
      lateral (select at_ms from sample
        where site_id = ${siteId} and logger_id = of.logger_id and at_ms >= ${fromMs}::bigint
        order by at_ms limit 1) as next`;
  return nextMs ?? Number.POSITIVE_INFINITY;
}
