import { NUMERIC_CHANNELS } from "../../src/analysis/series";
import type { TransactionSql } from "../samples/copy-in";
import type { LoggerBefore } from "../samples/store-samples";

/** A logger as it stands, of which the caller holds the site's lock. */
export async function openLogger(
  tx: TransactionSql,
  siteId: number,
  loggerId: number,
): Promise<LoggerBefore> {
  const [row] = await tx<(Omit<LoggerBefore, "siteId" | "loggerId" | "channels"> & { channels: string[] })[]>`
    select nominal_ms as "nominalMs", channels, has_source as "hasSource", has_fault as "hasFault",
      first_ms as "firstMs", last_ms as "lastMs", samples, has_segments as "hasSegments"
    from logger where site_id = ${siteId} and logger_id = ${loggerId}`;
  return { ...row, siteId, loggerId, channels: NUMERIC_CHANNELS.filter((c) => row.channels.includes(c)) };
}
