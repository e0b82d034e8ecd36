import { and, eq, sql } from "drizzle-orm";
import type { ColumnMap } from "../../src/site/column-map";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { log } from "../schema/log";
import { JOB_CHANNEL } from "./job-lock";

/** Payload of an import job. */
export type ImportPayload = {
  logId: number;
  columnMap: ColumnMap;
  evidence: unknown;
  /** Choices of the map that were inferred and left so: the rejects say it. */
  guessed?: readonly string[];
  allOrNothing: boolean;
  /** The period in which the logger's earlier logs don't count any more, as in `ImportOptions`. */
  replace?: { fromMs: number | null; toMs: number | null } | null;
};

/**
 * Puts the import of a received log in line for the worker.
 *
 * @returns the job, to be followed by `jobById`
 * @throws AppError not-found where the site has no such log, conflict where it is imported already
 * or was withdrawn
 */
export async function enqueueImport(
  database: Database,
  siteId: number,
  payload: ImportPayload,
): Promise<{ jobId: number }> {
  return database.orm.transaction(async (orm) => {
    const [found] = await orm
      .select({ state: log.state, name: log.name })
      .from(log)
      .where(and(eq(log.siteId, siteId), eq(log.logId, payload.logId)));
    if (found === undefined)
      throw new AppError("not-found", "There is no such log; it may have been discarded.");
    if (found.state === "imported") throw new AppError("conflict", `"${found.name}" is imported already.`);
    if (found.state === "withdrawn") {
      throw new AppError("conflict", `"${found.name}" was withdrawn. Restore it instead of importing it.`);
    }
    const [added] = await orm
      .insert(job)
      .values({ siteId, kind: "import", payload })
      .returning({ jobId: job.jobId });
    await orm.execute(sql`select pg_notify(${JOB_CHANNEL}, ${String(siteId)})`);
    return added;
  });
}
