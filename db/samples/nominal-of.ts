import type { TransactionSql } from "./copy-in";

/** Definitions D1: median of the successive differences among a logger's first 1,000 samples; null under two. */
export async function nominalOf(
  tx: TransactionSql,
  siteId: number,
  loggerId: number,
): Promise<number | null> {
  const [row] = await tx<{ nominalMs: number | null }[]>`
    select percentile_cont(0.5) within group (order by difference) as "nominalMs" from (
      select at_ms - lag(at_ms) over (order by at_ms) as difference from (
        select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        order by at_ms limit 1000) as first_samples) as differences
    where difference is not null`;
  return row.nominalMs;
}
