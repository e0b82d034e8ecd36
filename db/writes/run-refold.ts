import type { Database } from "../open-database";
import type { FoldOutcome } from "./change-fold";
import type { RefoldPayload, RezonePayload } from "./enqueue-refold";
import type { FoldOptions } from "./in-fold-transaction";
import { remapLog } from "./remap-log";
import { restoreLog } from "./restore-log";
import { type RezoneOutcome, rezoneLogs } from "./rezone-logs";
import { withdrawLog } from "./withdraw-log";

/** Does what a refold job says. @throws what they do */
export async function runRefold(
  database: Database,
  siteId: number,
  payload: RefoldPayload | RezonePayload,
  options: FoldOptions,
): Promise<FoldOutcome | RezoneOutcome> {
  switch (payload.action) {
    case "withdraw":
      return withdrawLog(database, siteId, payload.logId, options);
    case "restore":
      return restoreLog(database, siteId, payload.logId, options);
    case "rezone":
      return rezoneLogs(database, siteId, options);
    case "remap": {
      const { logId, columnMap, ...origin } = payload;
      return remapLog(database, siteId, logId, columnMap, { ...origin, ...options });
    }
  }
}
