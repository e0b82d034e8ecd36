import type { Sql } from "../open-database";
import type { TransactionSql } from "./copy-in";
import { type SampledLogger, sampledLoggers } from "./sampled-loggers";

/**
 * The logger whose samples a site is shown by: the first in the site's order of which something counts. Null
 * where none has samples.
 */
export async function sampledLogger(
  sql: Sql | TransactionSql,
  siteId: number,
): Promise<SampledLogger | null> {
  const { loggers } = await sampledLoggers(sql, siteId);
  return loggers[0] ?? null;
}
