import type { FaultWord, NumericChannel, TransferCause } from "../../src/analysis/series";
import { NUMERIC_CHANNELS } from "../../src/analysis/series";
import { parseSite } from "../../src/site/parse-site";
import type { Sql } from "../open-database";
import type { TransactionSql } from "./copy-in";

/** A logger that has samples, and how its stored faults read. */
export type SampledLogger = {
  loggerId: number;
  name: string;
  /** Nominal interval of the whole fold; null under two samples. */
  nominalMs: number | null;
  /** In the order of NUMERIC_CHANNELS. */
  channels: NumericChannel[];
  hasSource: boolean;
  hasFault: boolean;
  firstMs: number;
  lastMs: number;
  samples: number;
  /** Distinct fault words; `faultIndex` of a stored fault is its place here + 1, 0 for none. */
  faultWords: FaultWord[];
  faultIndex: Uint16Array;
  /** How many loggers of the site have samples. */
  loggersWithSamples: number;
};

/**
 * The logger whose samples a site is analysed and shown by: the first in the site's order that has any. Null
 * where none has.
 */
export async function sampledLogger(
  sql: Sql | TransactionSql,
  siteId: number,
): Promise<SampledLogger | null> {
  const [site] = await sql<{ config: unknown }[]>`select config from site where site_id = ${siteId}`;
  if (site === undefined) return null;
  const parsed = parseSite(site.config);
  const order = parsed.ok ? parsed.site.loggers.map((logger) => logger.name) : [];
  const rows = await sql<
    {
      loggerId: number;
      name: string;
      nominalMs: number | null;
      channels: string[];
      hasSource: boolean;
      hasFault: boolean;
      firstMs: number;
      lastMs: number;
      samples: number;
    }[]
  >`
    select logger_id as "loggerId", name, nominal_ms as "nominalMs", channels, has_source as "hasSource",
      has_fault as "hasFault", first_ms as "firstMs", last_ms as "lastMs", samples
    from logger where site_id = ${siteId} and samples > 0 order by logger_id`;
  if (rows.length === 0) return null;
  const rank = (name: string) => (order.includes(name) ? order.indexOf(name) : order.length);
  const chosen = rows.reduce((best, row) => (rank(row.name) < rank(best.name) ? row : best));
  const words = await sql<{ fault: number; code: string; meaning: string | null }[]>`
    select fault, code, meaning from fault_word
    where site_id = ${siteId} and logger_id = ${chosen.loggerId} order by fault`;
  const has = new Set(chosen.channels);
  return {
    ...chosen,
    channels: NUMERIC_CHANNELS.filter((channel) => has.has(channel)),
    ...foldWords(words),
    loggersWithSamples: rows.length,
  };
}

function foldWords(words: readonly { fault: number; code: string; meaning: string | null }[]): {
  faultWords: FaultWord[];
  faultIndex: Uint16Array;
} {
  const faultWords: FaultWord[] = [];
  const places = new Map<string, number>();
  const faultIndex = new Uint16Array(words.reduce((most, { fault }) => Math.max(most, fault), 0) + 1);
  for (const { fault, code, meaning } of words) {
    const key = JSON.stringify([code, meaning]);
    let place = places.get(key);
    if (place === undefined) {
      faultWords.push({ code, meaning: meaning as TransferCause | null });
      place = faultWords.length;
      places.set(key, place);
    }
    faultIndex[fault] = place;
  }
  return { faultWords, faultIndex };
}
