import type { Database } from "../open-database";
import type { FoldOptions, FoldOutcome } from "./change-fold";
import type { RefoldPayload } from "./enqueue-refold";
import { remapLog } from "./remap-log";
import { restoreLog } from "./restore-log";
import { withdrawLog } from "./withdraw-log";

/** Does what a refold job says. @throws what the three of them do */
export async function runRefold(
  database: Database,
  siteId: number,
  payload: RefoldPayload,
  options: FoldOptions,
): Promise<FoldOutcome> {
  const { logId } = payload;
  switch (payload.action) {
    case "withdraw":
      return withdrawLog(database, siteId, logId, options);
    case "restore":
      return restoreLog(database, siteId, logId, options);
    case "remap": {
      const { columnMap, evidence, guessed } = payload;
      return remapLog(database, siteId, logId, columnMap, { evidence, guessed, ...options });
    }
  }
}
