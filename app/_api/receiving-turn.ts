import type { Database } from "../../db/open-database";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { waitingImports } from "../../db/queries/waiting-imports";
import { MAX_RECEIVING, MAX_WAITING_JOBS } from "./api-limits";
import { tooMany } from "./log-refusals";

let receiving = 0;

/**
 * Receives a large log or an archive, where this web server has room for another one.
 *
 * @throws AppError too-many where it hasn't, or where too many logs of the site wait for the worker
 */
export async function inReceivingTurn<T>(
  database: Database,
  site: SiteRow,
  work: () => Promise<T>,
): Promise<T> {
  if (receiving >= MAX_RECEIVING) throw tooMany("Other large logs are being received at the moment.");
  receiving++;
  try {
    if ((await waitingImports(database, site.siteId)) >= MAX_WAITING_JOBS) {
      throw tooMany(`${MAX_WAITING_JOBS} logs of "${site.name}" wait to be imported.`);
    }
    return await work();
  } finally {
    receiving--;
  }
}
