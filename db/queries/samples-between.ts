import type { FaultWord, NumericChannel, Series } from "../../src/analysis/series";
import { createUnionState, pushToUnion, settleUnion } from "../../src/analysis/union-loggers";
import type { Database } from "../open-database";
import { readSamples } from "../samples/read-samples";
import { type SampledLogger, sampledLoggers } from "../samples/sampled-loggers";

/** Samples of a stretch as columns, with what is needed to read them. */
export type SampleStretch = {
  series: Series;
  /** Nominal interval of the logger, of several that of the one with the load; null under two samples. */
  nominalMs: number | null;
  faultWords: FaultWord[];
  /** True where the stretch holds more samples than were asked for: the series then ends early. */
  cut: boolean;
};

/** So many samples before a stretch are looked at, to know a logger's interval and what holds into the stretch. */
const SAMPLES_BEFORE = 20;

/**
 * The samples of a site with `fromMs ≤ t < toMs`, at most `limit` of them, earliest first. Of several loggers
 * it is the union of their times, each channel holding by its own logger (definitions D1) with the interval that
 * it has thereabouts. Null where the site has no samples at all.
 *
 * @param only the channels that are wanted, beside source and fault; all where absent
 */
export async function samplesBetween(
  database: Database,
  siteId: number,
  fromMs: number,
  toMs: number,
  limit: number,
  only?: readonly NumericChannel[],
): Promise<SampleStretch | null> {
  const sampled = await sampledLoggers(database.sql, siteId);
  if (sampled.loggers.length === 0) return null;
  const loggers = only === undefined ? sampled.loggers : wanted(sampled.loggers, only);
  const faultWords = loggers.find((logger) => logger.hasFault)?.faultWords ?? [];
  if (loggers.length === 1) {
    const [logger] = loggers;
    const series = await read(database, siteId, logger, { fromMs, toMs, limit: limit + 1 });
    const cut = series.timesMs.length > limit;
    return {
      series: cut ? cutSeries(series, 0, limit) : series,
      nominalMs: logger.nominalMs,
      faultWords,
      cut,
    };
  }
  const all = {
    channels: loggers.flatMap((logger) => logger.channels),
    hasSource: loggers.some((logger) => logger.hasSource),
    hasFault: loggers.some((logger) => logger.hasFault),
  };
  const union = createUnionState(loggers);
  for (const [place, logger] of loggers.entries()) {
    const beforeMs = Math.ceil(SAMPLES_BEFORE * (logger.nominalMs ?? 0));
    const stretch = { fromMs: fromMs - beforeMs, toMs, limit: limit + 1 + SAMPLES_BEFORE };
    pushToUnion(union, place, await read(database, siteId, logger, stretch));
  }
  const series = settleUnion(union, true) ?? joinSeries([], all);
  const start = firstAt(series.timesMs, fromMs);
  const end = firstAt(series.timesMs, toMs);
  const ofLoad = loggers.find(({ channels }) => channels.some((channel) => channel.startsWith("load")));
  return {
    series: cutSeries(series, start, Math.min(end, start + limit)),
    nominalMs: (ofLoad ?? loggers[0]).nominalMs,
    faultWords,
    cut: end - start > limit,
  };
}

/** The loggers with no more than the channels wanted; one at least. */
function wanted(loggers: readonly SampledLogger[], only: readonly NumericChannel[]): SampledLogger[] {
  const narrowed = loggers.map((logger) => ({
    ...logger,
    channels: logger.channels.filter((channel) => only.includes(channel)),
  }));
  const giving = narrowed.filter(({ channels, hasSource }) => channels.length > 0 || hasSource);
  return giving.length > 0 ? giving : narrowed.slice(0, 1);
}

async function read(
  database: Database,
  siteId: number,
  logger: SampledLogger,
  range: { fromMs: number; toMs: number; limit: number },
): Promise<Series> {
  const parts: Series[] = [];
  for await (const part of readSamples(database.sql, { siteId, logger, ...range })) {
    // The reader uses its arrays again.
    parts.push(structuredClone(part));
  }
  return joinSeries(parts, logger);
}

function joinSeries(
  parts: readonly Series[],
  { channels, hasSource, hasFault }: Pick<SampledLogger, "channels" | "hasSource" | "hasFault">,
): Series {
  const count = parts.reduce((sum, part) => sum + part.timesMs.length, 0);
  const timesMs = new Float64Array(count);
  const columns: Partial<Record<NumericChannel, Float32Array>> = {};
  for (const channel of channels) columns[channel] = new Float32Array(count);
  const sources = hasSource ? new Uint8Array(count) : null;
  const faults = hasFault ? new Uint16Array(count) : null;
  let at = 0;
  for (const part of parts) {
    timesMs.set(part.timesMs, at);
    for (const channel of channels) columns[channel]?.set(part.channels[channel]!, at);
    if (part.sources !== null) sources?.set(part.sources, at);
    if (part.faults !== null) faults?.set(part.faults, at);
    at += part.timesMs.length;
  }
  return { timesMs, channels: columns, sources, faults };
}

/** Rows `from` to `to`, as a series of its own. */
function cutSeries(series: Series, from: number, to: number): Series {
  return {
    timesMs: series.timesMs.slice(from, to),
    channels: Object.fromEntries(
      Object.entries(series.channels).map(([channel, column]) => [channel, column.slice(from, to)]),
    ),
    sources: series.sources?.slice(from, to) ?? null,
    faults: series.faults?.slice(from, to) ?? null,
  };
}

/** Place of the first time at or after an instant. */
function firstAt(timesMs: Float64Array, atMs: number): number {
  const place = timesMs.findIndex((at) => at >= atMs);
  return place < 0 ? timesMs.length : place;
}
