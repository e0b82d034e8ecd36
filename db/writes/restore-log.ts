import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { changeFold, type FoldOutcome } from "./change-fold";
import type { FoldOptions } from "./in-fold-transaction";

/**
 * Puts a withdrawn log into its site's fold again, at its old position and with its old map.
 *
 * @throws AppError not-found, conflict where the log was never imported, or where the same content came in again
 * meanwhile, cancelled, disk-full, server-unreachable: nothing is changed then
 */
export async function restoreLog(
  database: Database,
  siteId: number,
  logId: number,
  options: FoldOptions = {},
): Promise<FoldOutcome> {
  return changeFold(database, siteId, logId, options, async (tx, log) => {
    if (log.state === "imported") return null;
    if (log.state !== "withdrawn") {
      throw new AppError("conflict", `"${log.name}" was never imported. Import it with a column map.`);
    }
    const [same] = await tx<{ logId: number; name: string; state: string }[]>`
      select log_id as "logId", name, state from log
      where site_id = ${siteId} and logger_id = ${log.loggerId} and sha256 = ${log.sha256} and state <> 'withdrawn'`;
    if (same !== undefined) {
      const [came, first] =
        same.state === "imported"
          ? ["was imported again", "Withdraw that one first, or keep it in this one's place."]
          : ["came in again", "Discard that one first."];
      throw new AppError(
        "conflict",
        `The content of "${log.name}" ${came} meanwhile, as log ${same.logId} "${same.name}". ${first}`,
      );
    }
    await tx`update log set state = 'imported' where site_id = ${siteId} and log_id = ${logId}`;
    return { restored: logId };
  });
}
