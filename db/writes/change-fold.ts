import type { LogVerdict } from "../../src/ingest/log-verdict";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import type { JobProgress } from "../schema/job";
import type { LogState } from "../schema/log";
import { toAppError } from "../to-app-error";
import { transactionOrm } from "../transaction-orm";
import { checkedSite } from "./add-site";
import { enqueueRecompute } from "./enqueue-recompute";
import { lockSite } from "./lock-site";
import { markChanged } from "./mark-changed";
import { type RefoldRequest, refold, UnreadableLog } from "./refold";

type TakenVerdict = Extract<LogVerdict, { refused: false }>;

/** How a refold is followed. */
export type FoldOptions = { signal?: AbortSignal; onProgress?: (progress: JobProgress) => void };

/** What a change of a site's fold came to. */
export type FoldOutcome =
  | {
      kind: "refolded";
      logId: number;
      name: string;
      /** Logs that were read again, this one among them. */
      logsRead: number;
      /** What became of this log; null where it left the fold. */
      verdict: Omit<TakenVerdict, "rejects"> | null;
      samplesRevision: number;
    }
  /** It was so already: nothing was changed. */
  | { kind: "unchanged"; logId: number; name: string }
  /** The log can't be read so, and why: nothing was changed. */
  | { kind: "refused"; logId: number; name: string; verdict: Extract<LogVerdict, { refused: true }> };

/** A log whose place in the fold is to be changed. */
export type FoldedLog = {
  logId: number;
  loggerId: number;
  name: string;
  sha256: string;
  state: LogState;
  firstMs: number | null;
  lastMs: number | null;
};

/**
 * Changes what a site's fold is made of, and refolds, in one transaction under the site's lock; a recompute is put in
 * line with it.
 *
 * @param change writes the log's row as it is to be, and says what that is for the fold; null where it is so already
 * @throws AppError not-found (site, log), cancelled, disk-full, server-unreachable, and what `change` throws: nothing
 * is changed then
 */
export async function changeFold(
  database: Database,
  siteId: number,
  logId: number,
  { signal, onProgress }: FoldOptions,
  change: (
    tx: TransactionSql,
    log: FoldedLog,
  ) => Promise<Pick<RefoldRequest, "withdrawn" | "restored" | "remapped"> | null>,
): Promise<FoldOutcome> {
  let committing = false;
  let name = "";
  try {
    return await database.sql.begin(async (tx): Promise<FoldOutcome> => {
      await lockSite(tx, siteId, signal);
      const [site] = await tx<{ config: unknown }[]>`select config from site where site_id = ${siteId}`;
      if (site === undefined)
        throw new AppError("not-found", "There is no such site; it may have been removed.");
      const [log] = await tx<FoldedLog[]>`
        select log_id as "logId", logger_id as "loggerId", name, sha256, state, first_ms as "firstMs",
          last_ms as "lastMs"
        from log where site_id = ${siteId} and log_id = ${logId} for update`;
      if (log === undefined)
        throw new AppError("not-found", `This site has no log ${logId}; it may have been discarded.`);
      name = log.name;
      const changed = await change(tx, log);
      if (changed === null) return { kind: "unchanged", logId, name };
      const refolded = await refold(database, tx, {
        siteId,
        loggerId: log.loggerId,
        siteZone: checkedSite(site.config).timezone,
        ...changed,
        signal,
        onProgress,
      });
      const span = refolded?.changed ?? null;
      const samplesRevision = await markChanged(tx, siteId, span?.fromMs ?? null, span?.toMs ?? null);
      await enqueueRecompute(transactionOrm(tx), siteId);
      signal?.throwIfAborted();
      dieAt("before-commit");
      committing = true;
      const read = refolded?.verdicts.get(logId);
      return {
        kind: "refolded",
        logId,
        name,
        logsRead: refolded?.verdicts.size ?? 0,
        verdict: read === undefined ? null : withoutRejects(read),
        samplesRevision,
      };
    });
  } catch (error) {
    if (error instanceof UnreadableLog) {
      if (error.logId === logId) return { kind: "refused", logId, name, verdict: error.verdict };
      const { problem } = error.verdict;
      throw new AppError(
        "conflict",
        `Nothing was changed: "${error.verdict.name}" has to be read again for it, and can't be any more. ${problem.what} ${problem.hint}`,
        { cause: error },
      );
    }
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

function withoutRejects(verdict: TakenVerdict): Omit<TakenVerdict, "rejects"> {
  const { rejects: _, ...kept } = verdict;
  return kept;
}
