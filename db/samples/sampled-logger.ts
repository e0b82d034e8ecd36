import type { Sql } from "../open-database";
import type { TransactionSql } from "./copy-in";
import { type SampledLogger, sampledLoggers } from "./sampled-loggers";

/**
 * One logger with everything that is stored of it, whether that counts or not: the named one, else the first in
 * the site's order. Null where it has no samples.
 */
export async function sampledLogger(
  sql: Sql | TransactionSql,
  siteId: number,
  name?: string,
): Promise<SampledLogger | null> {
  const { stored } = await sampledLoggers(sql, siteId);
  return stored.find((logger) => name === undefined || logger.name === name) ?? null;
}
