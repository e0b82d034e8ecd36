import type { Database } from "../../db/open-database";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { gunzipBytes } from "../../src/ingest/gunzip-source";
import { UnreadableContainer } from "../../src/ingest/unreadable-container";
import type { LogBody } from "./log-body";
import { unreadable } from "./log-refusals";
import { takeArchive } from "./take-archive";
import { type SentLog, takeLog } from "./take-log";

/**
 * Takes what a request brings: a log, the one in a gzip file, or those in a zip archive.
 *
 * @throws AppError as `takeLog` and `takeArchive`; unreadable where an archive is damaged, encrypted, nested or too large
 */
export async function takeSent(
  database: Database,
  site: SiteRow,
  kind: LogBody["kind"],
  sent: SentLog,
): Promise<Response> {
  try {
    switch (kind) {
      case "log":
        return await takeLog(database, site, sent);
      case "gzip":
        return await takeLog(database, site, { ...sent, body: gunzipBytes(sent.name, sent.body) });
      case "zip":
        return await takeArchive(database, site, sent);
    }
  } catch (error) {
    throw error instanceof UnreadableContainer ? unreadable(error.refusal) : error;
  }
}
