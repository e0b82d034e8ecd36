import type { FaultWord, NumericChannel, Series } from "../../src/analysis/series";
import type { Database } from "../open-database";
import { readSamples } from "../samples/read-samples";
import { sampledLogger } from "../samples/sampled-logger";

/** Samples of a stretch as columns, with what is needed to read them. */
export type SampleStretch = {
  series: Series;
  /** Nominal interval of the logger; null under two samples. */
  nominalMs: number | null;
  faultWords: FaultWord[];
  /** True where the stretch holds more samples than were asked for: the series then ends early. */
  cut: boolean;
};

/**
 * The samples of a site with `fromMs ≤ t < toMs`, at most `limit` of them, earliest first. Null where the
 * site has no samples at all.
 */
export async function samplesBetween(
  database: Database,
  siteId: number,
  fromMs: number,
  toMs: number,
  limit: number,
): Promise<SampleStretch | null> {
  const logger = await sampledLogger(database.sql, siteId);
  if (logger === null) return null;
  const parts: Series[] = [];
  for await (const part of readSamples(database.sql, { siteId, logger, fromMs, toMs, limit: limit + 1 })) {
    // The reader uses its arrays again.
    parts.push(structuredClone(part));
  }
  const series = joinSeries(parts, logger.channels, limit);
  const count = parts.reduce((sum, part) => sum + part.timesMs.length, 0);
  return { series, nominalMs: logger.nominalMs, faultWords: logger.faultWords, cut: count > limit };
}

function joinSeries(parts: readonly Series[], channels: readonly NumericChannel[], limit: number): Series {
  const count = Math.min(
    limit,
    parts.reduce((sum, part) => sum + part.timesMs.length, 0),
  );
  const timesMs = new Float64Array(count);
  const columns: Partial<Record<NumericChannel, Float32Array>> = {};
  for (const channel of channels) columns[channel] = new Float32Array(count);
  const sources = parts.every((part) => part.sources !== null) ? new Uint8Array(count) : null;
  const faults = parts.every((part) => part.faults !== null) ? new Uint16Array(count) : null;
  let at = 0;
  for (const part of parts) {
    const take = Math.min(part.timesMs.length, count - at);
    timesMs.set(part.timesMs.subarray(0, take), at);
    for (const channel of channels) columns[channel]?.set(part.channels[channel]!.subarray(0, take), at);
    if (part.sources !== null) sources?.set(part.sources.subarray(0, take), at);
    if (part.faults !== null) faults?.set(part.faults.subarray(0, take), at);
    at += take;
  }
  return { timesMs, channels: columns, sources, faults };
}
