import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { jobOfLog } from "../../db/queries/job-of-log";
import { logById } from "../../db/queries/log-by-id";
import { rejectsOf } from "../../db/queries/rejects-of";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { errorTitle } from "../_tables/rejects";
import type { ApiJson } from "./api-schemas";
import { logStateJson } from "./log-json";

const FIRST_REJECTS = 10;

/**
 * What became of a log that was sent.
 *
 * @throws AppError conflict where somebody discarded it meanwhile
 */
export async function receivedLogJson(
  database: Database,
  site: SiteRow,
  logId: number,
  alreadyThere: boolean,
): Promise<ApiJson<"ReceivedLog">> {
  const log = await logById(database, site.siteId, logId);
  if (log === null)
    throw new AppError("conflict", "The log was discarded in the same moment. Send it again.");
  const { rejects } = await rejectsOf(database, site.siteId, logId, { pageSize: FIRST_REJECTS });
  return {
    log: logStateJson(log, await jobOfLog(database, site.siteId, logId), site),
    alreadyThere,
    rejects: rejects.map((reject) => ({
      line: reject.line,
      column: reject.columnNo,
      columnName: reject.columnName,
      code: reject.code,
      title: errorTitle(reject.code),
      text: reject.text ?? "",
      rule: reject.guessed ? "guessed" : "given",
    })),
  };
}
