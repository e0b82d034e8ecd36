import type { TransactionSql } from "./copy-in";

/** Samples that the nominal interval is taken from (definitions D1). */
export const NOMINAL_SAMPLES = 1000;

/**
 * Definitions D1: median of the successive differences among a logger's first 1,000 samples; null under two.
 *
 * The limit is a sub-select because the planner counts a sub-select's rows as few and of unknown number: of a month that
 * has just come in it has no statistics, takes the logger for 40 samples, and with a plain limit of 1,000 sorted all
 * 2.6 million.
 */
export async function nominalOf(
  tx: TransactionSql,
  siteId: number,
  loggerId: number,
): Promise<number | null> {
  const [row] = await tx<{ nominalMs: number | null }[]>`
    select percentile_cont(0.5) within group (order by difference) as "nominalMs" from (
      select at_ms - lag(at_ms) over (order by at_ms) as difference from (
        select at_ms from sample where site_id = ${siteId} and logger_id = ${loggerId}
        order by at_ms limit (select ${NOMINAL_SAMPLES}::int)) as first_samples) as differences
    where difference is not null`;
  return row.nominalMs;
}
