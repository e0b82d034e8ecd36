import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { changeFold, type FoldOutcome } from "./change-fold";
import type { FoldOptions } from "./in-fold-transaction";
import { hullOf } from "./replaced-period";

/**
 * Takes a log's samples out of its site's fold. The log itself stays, with its bytes, map, verdict and position, so
 * that `restoreLog` can put it in again; samples that it had hidden or replaced come back from the logs that have them.
 *
 * @throws AppError not-found, conflict where the log was never imported, cancelled, disk-full, server-unreachable:
 * nothing is changed then
 */
export async function withdrawLog(
  database: Database,
  siteId: number,
  logId: number,
  options: FoldOptions = {},
): Promise<FoldOutcome> {
  return changeFold(database, siteId, logId, options, async (tx, log) => {
    if (log.state === "withdrawn") return null;
    if (log.state !== "imported") {
      throw new AppError(
        "conflict",
        `"${log.name}" isn't imported, so there is nothing of it to withdraw. Discard it instead.`,
      );
    }
    await tx`update log set state = 'withdrawn' where site_id = ${siteId} and log_id = ${logId}`;
    const { firstMs, lastMs } = log;
    const span = firstMs === null || lastMs === null ? null : { fromMs: firstMs, toMs: lastMs };
    return { withdrawn: { logId, span: hullOf(log, span) } };
  });
}
