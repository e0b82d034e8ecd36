import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import type { JobProgress } from "../schema/job";
import { toAppError } from "../to-app-error";
import { transactionOrm } from "../transaction-orm";
import { checkedSite } from "./add-site";
import { enqueueRecompute } from "./enqueue-recompute";
import { lockSite } from "./lock-site";
import { markChanged } from "./mark-changed";
import { type Refolded, type RefoldRequest, refold } from "./refold";

/** How a refold is followed. */
export type FoldOptions = { signal?: AbortSignal; onProgress?: (progress: JobProgress) => void };

/** Refolds a logger of the site, marks what has changed and puts a recompute in line. */
export type RefoldLogger = (
  loggerId: number,
  changed: Pick<
    RefoldRequest,
    "withdrawn" | "restored" | "remapped" | "replacing" | "rezoned" | "rebuilt" | "sourceOf"
  >,
) => Promise<Refolded | null>;

/**
 * Does what changes a site's fold in one transaction under the site's lock.
 *
 * @param work is given what it refolds with
 * @throws AppError not-found (site), UnreadableLog, cancelled, disk-full,
 * server-unreachable, and what `work` throws: nothing is changed then
 */
export async function inFoldTransaction<T>(
  database: Database,
  siteId: number,
  { signal, onProgress }: FoldOptions,
  work: (tx: TransactionSql, refoldLogger: RefoldLogger) => Promise<T>,
): Promise<T> {
  let committing = false;
  try {
    // The driver's type loses what the work returns.
    return (await database.sql.begin(async (tx) => {
      await lockSite(tx, siteId, signal);
      const [site] = await tx<{ config: unknown }[]>`select config from site where site_id = ${siteId}`;
      if (site === undefined)
        throw new AppError("not-found", "There is no such site; it may have been removed.");
      const siteZone = checkedSite(site.config).timezone;
      const done = await work(tx, async (loggerId, changed) => {
        const request = { siteId, loggerId, siteZone, ...changed, signal, onProgress };
        const refolded = await refold(database, tx, request);
        if (refolded === null) return null;
        const { fromMs, toMs } = refolded.changed ?? { fromMs: null, toMs: null };
        await markChanged(tx, siteId, fromMs, toMs);
        await enqueueRecompute(transactionOrm(tx), siteId);
        return refolded;
      });
      signal?.throwIfAborted();
      dieAt("before-commit");
      committing = true;
      return done;
    })) as T;
  } catch (error) {
    if (signal?.aborted) {
      throw new AppError("cancelled", "Cancelled: the site's logs are as they were.", { cause: error });
    }
    const known = toAppError(error);
    // The answer to the commit was lost, and what became of it with it.
    if (committing && known instanceof AppError && known.code === "server-unreachable") {
      throw new AppError(
        known.code,
        "The database server went away just as the change was being completed, and whether it stands is not known. " +
          "Look at the list of the site's logs, or do it again: what is so already is not done twice.",
        { cause: error },
      );
    }
    throw known;
  }
}
