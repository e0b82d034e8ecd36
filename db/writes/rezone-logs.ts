import type { Database } from "../open-database";
import { type FoldOptions, inFoldTransaction } from "./in-fold-transaction";

/** What a change of a site's zone came to. */
export type RezoneOutcome = { kind: "rezoned"; logsRead: number };

/**
 * Reads every log of a site again whose times are on the site's clock, after that was changed.
 *
 * @throws AppError not-found, conflict where a log can't be read on the new clock, cancelled, disk-full,
 * server-unreachable: nothing is changed then
 */
export async function rezoneLogs(
  database: Database,
  siteId: number,
  options: FoldOptions = {},
): Promise<RezoneOutcome> {
  return inFoldTransaction(database, siteId, options, async (tx, refoldLogger) => {
    const loggers = await tx<{ loggerId: number }[]>`
      select logger_id as "loggerId" from logger where site_id = ${siteId} order by logger_id`;
    let logsRead = 0;
    for (const { loggerId } of loggers) {
      const refolded = await refoldLogger(loggerId, { rezoned: true });
      logsRead += refolded?.verdicts.size ?? 0;
    }
    return { kind: "rezoned", logsRead };
  });
}
