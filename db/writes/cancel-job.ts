import { and, eq, inArray, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { job } from "../schema/job";

/**
 * Asks for a job to be cancelled: one that waits is cancelled at once, one that runs stops soon and leaves
 * nothing of its work. False where it has ended already or doesn't exist.
 */
export async function cancelJob(database: Database, siteId: number, jobId: number): Promise<boolean> {
  const asked = await database.orm
    .update(job)
    .set({
      cancelRequested: true,
      state: sql`case when ${job.state} = 'waiting' then 'cancelled' else ${job.state} end`,
      finishedAtMs: sql`case when ${job.state} = 'waiting' then (extract(epoch from clock_timestamp()) * 1000)::bigint end`,
    })
    .where(and(eq(job.siteId, siteId), eq(job.jobId, jobId), inArray(job.state, ["waiting", "running"])))
    .returning({ jobId: job.jobId });
  return asked.length > 0;
}
