import { AppError } from "../app-error";
import type { TransactionSql } from "../samples/copy-in";
import { checkedSite } from "./add-site";

/**
 * The logger of that name of a site, made on first use.
 *
 * @throws AppError not-found where there is no such site, bad-input where its site.json names no such logger
 */
export async function ensureLogger(tx: TransactionSql, siteId: number, name: string): Promise<number> {
  const [row] = await tx<{ config: unknown }[]>`select config from site where site_id = ${siteId}`;
  if (row === undefined) throw new AppError("not-found", "There is no such site; it may have been removed.");
  const site = checkedSite(row.config);
  const names = site.loggers.map((logger) => logger.name);
  if (!names.includes(name)) {
    throw new AppError(
      "bad-input",
      `"${site.name}" has no logger "${name}". Its loggers: ${names.join(", ")}. Add it to site.json, or name one of these.`,
    );
  }
  await tx`insert into logger (site_id, name) values (${siteId}, ${name}) on conflict do nothing`;
  const [{ loggerId }] = await tx<{ loggerId: number }[]>`
    select logger_id as "loggerId" from logger where site_id = ${siteId} and name = ${name}`;
  return loggerId;
}
