import { SOURCES } from "../../src/analysis/series";
import type { TransactionSql } from "./copy-in";

/**
 * Makes every minute of a logger tell how long which source carried the loads, or none: a logger has a source column
 * as a whole. What came without one was carried by an unknown source, which is the first of SOURCES.
 */
export async function showSource(
  tx: TransactionSql,
  siteId: number,
  loggerId: number,
  hasSource: boolean,
): Promise<void> {
  if (hasSource) {
    await tx`
      update rollup set on_s = array[held_s] || array_fill(0::real, array[${SOURCES.length - 1}::int])
      where site_id = ${siteId} and logger_id = ${loggerId} and on_s is null`;
  } else {
    await tx`
      update rollup set on_s = null
      where site_id = ${siteId} and logger_id = ${loggerId} and on_s is not null`;
  }
}
