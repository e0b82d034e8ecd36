import type { LogVerdict } from "../../src/ingest/log-verdict";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import type { LogState } from "../schema/log";
import { type FoldOptions, inFoldTransaction } from "./in-fold-transaction";
import { type RefoldRequest, UnreadableLog } from "./refold";
import type { Replacement } from "./replaced-period";

type TakenVerdict = Extract<LogVerdict, { refused: false }>;

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
  sizeBytes: number;
  sha256: string;
  state: LogState;
  firstMs: number | null;
  lastMs: number | null;
} & Replacement;

/**
 * Changes the place of one log in its site's fold, and refolds, in one transaction; a recompute is put in line with it.
 *
 * @param change writes the log's row as it is to be, and says what that is for the fold; null where it is so already
 * @throws AppError not-found (site, log), cancelled, disk-full, server-unreachable, and what `change` throws: nothing
 * is changed then
 */
export async function changeFold(
  database: Database,
  siteId: number,
  logId: number,
  options: FoldOptions,
  change: (
    tx: TransactionSql,
    log: FoldedLog,
  ) => Promise<Pick<RefoldRequest, "withdrawn" | "restored" | "remapped"> | null>,
): Promise<FoldOutcome> {
  let name = "";
  try {
    return await inFoldTransaction<FoldOutcome>(database, siteId, options, async (tx, refoldLogger) => {
      const [log] = await tx<FoldedLog[]>`
        select log_id as "logId", logger_id as "loggerId", name, size_bytes as "sizeBytes", sha256, state, first_ms as "firstMs",
          last_ms as "lastMs", replaces, replaces_from_ms as "replacesFromMs", replaces_to_ms as "replacesToMs"
        from log where site_id = ${siteId} and log_id = ${logId} for update`;
      if (log === undefined)
        throw new AppError("not-found", `This site has no log ${logId}; it may have been discarded.`);
      name = log.name;
      const changed = await change(tx, log);
      if (changed === null) return { kind: "unchanged", logId, name };
      const refolded = await refoldLogger(log.loggerId, changed);
      const read = refolded?.verdicts.get(logId);
      return {
        kind: "refolded",
        logId,
        name,
        logsRead: refolded?.verdicts.size ?? 0,
        verdict: read === undefined ? null : withoutRejects(read),
      };
    });
  } catch (error) {
    if (!(error instanceof UnreadableLog) || error.logId !== logId) throw error;
    return { kind: "refused", logId, name, verdict: error.verdict };
  }
}

function withoutRejects(verdict: TakenVerdict): Omit<TakenVerdict, "rejects"> {
  const { rejects: _, ...kept } = verdict;
  return kept;
}
