import { channelsOfLoggers, type PassedOver } from "../../src/analysis/channels-of-loggers";
import type { FaultWord, NumericChannel, TransferCause } from "../../src/analysis/series";
import { NUMERIC_CHANNELS } from "../../src/analysis/series";
import { parseSite, type Site } from "../../src/site/parse-site";
import type { Sql } from "../open-database";
import type { TransactionSql } from "./copy-in";

/** A logger that has samples, with what is wanted of it, and how its stored faults read. */
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
};

/** What a site's samples come from. */
export type SampledLoggers = {
  /** Those of which something counts, in the site's order; each channel, the source and the fault of one only. */
  loggers: SampledLogger[];
  /** All that have samples, each with everything it has, whether that counts or not; those that count first. */
  stored: SampledLogger[];
  /** Channels that a logger has and another one gives. */
  passedOver: PassedOver[];
  /** The site that they count by; null where its site.json can't be taken. */
  site: Site | null;
};

/**
 * The loggers that a site is analysed and shown by: all that have samples, each with the channels that count of it
 * (`channelsOfLoggers`). Empty where none has.
 */
export async function sampledLoggers(sql: Sql | TransactionSql, siteId: number): Promise<SampledLoggers> {
  // None waits for another: in a transaction they go to the server at once.
  const [[site], rows, words] = await Promise.all([
    sql<{ config: unknown }[]>`select config from site where site_id = ${siteId}`,
    sql<(Omit<SampledLogger, "channels" | "faultWords" | "faultIndex"> & { channels: string[] })[]>`
      select logger_id as "loggerId", name, nominal_ms as "nominalMs", channels, has_source as "hasSource",
        has_fault as "hasFault", first_ms as "firstMs", last_ms as "lastMs", samples
      from logger where site_id = ${siteId} and samples > 0 order by logger_id`,
    sql<{ loggerId: number; fault: number; code: string; meaning: string | null }[]>`
      select logger_id as "loggerId", fault, code, meaning from fault_word
      where site_id = ${siteId} order by logger_id, fault`,
  ]);
  if (site === undefined || rows.length === 0) return { loggers: [], stored: [], passedOver: [], site: null };
  const parsed = parseSite(site.config);
  const available = rows.map((row) => ({
    ...row,
    channels: NUMERIC_CHANNELS.filter((channel) => row.channels.includes(channel)),
    ...foldWords(words.filter((word) => word.loggerId === row.loggerId)),
  }));
  const counting = channelsOfLoggers(available, parsed.ok ? parsed.site.loggers : []);
  const places = counting.loggers.map((logger) => logger.index);
  return {
    loggers: counting.loggers.map(({ index, channels, hasSource, hasFault }) => ({
      ...available[index],
      channels,
      hasSource,
      hasFault,
    })),
    stored: [...places.map((place) => available[place]), ...available.filter((_, i) => !places.includes(i))],
    passedOver: counting.passedOver,
    site: parsed.ok ? parsed.site : null,
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
