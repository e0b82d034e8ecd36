import { and, desc, eq, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { JOB_COLUMNS, type JobRow } from "./jobs-of";

/** The latest job of a log: its import, or what changes its place in the fold; null where there was none. */
export async function jobOfLog(
  database: Pick<Database, "orm">,
  siteId: number,
  logId: number,
): Promise<JobRow | null> {
  const [found] = await database.orm
    .select(JOB_COLUMNS)
    .from(job)
    .where(
      and(
        eq(job.siteId, siteId),
        sql`${job.kind} <> 'recompute'`,
        sql`${job.payload} ->> 'logId' = ${String(logId)}`,
      ),
    )
    .orderBy(desc(job.jobId))
    .limit(1);
  return found ?? null;
}
