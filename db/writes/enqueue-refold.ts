import { and, eq, sql } from "drizzle-orm";
import type { ColumnMap } from "../../src/site/column-map";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { log } from "../schema/log";
import { JOB_CHANNEL } from "./job-lock";

/** Payload of a refold job that changes one log. */
export type RefoldPayload = { logId: number } & (
  | { action: "withdraw" | "restore" }
  | {
      action: "remap";
      columnMap: ColumnMap;
      evidence: unknown;
      /** Choices of the map that were inferred and left so: the rejects say it. */
      guessed?: readonly string[];
      /** True: the logger's other logs of the same shape are read with it, too. */
      allOfShape?: boolean;
    }
);

/** Payload of the refold that follows a change of the site's zone. */
export type RezonePayload = { action: "rezone" };

/**
 * Puts the withdrawal, the restoration or another map of a log in line for the worker. Whether it can be done shows
 * when it is: what stands in line before it may change that.
 *
 * @returns the job, to be followed by `jobById`; its result is a `FoldOutcome`
 * @throws AppError not-found where the site has no such log
 */
export async function enqueueRefold(
  database: Database,
  siteId: number,
  payload: RefoldPayload,
): Promise<{ jobId: number }> {
  return database.orm.transaction(async (orm) => {
    const [found] = await orm
      .select({ logId: log.logId })
      .from(log)
      .where(and(eq(log.siteId, siteId), eq(log.logId, payload.logId)));
    if (found === undefined)
      throw new AppError("not-found", `This site has no log ${payload.logId}; it may have been discarded.`);
    const [added] = await orm
      .insert(job)
      .values({ siteId, kind: "refold", payload })
      .returning({ jobId: job.jobId });
    await orm.execute(sql`select pg_notify(${JOB_CHANNEL}, ${String(siteId)})`);
    return added;
  });
}
