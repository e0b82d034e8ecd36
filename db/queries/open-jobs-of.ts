import { and, desc, eq, inArray } from "drizzle-orm";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { JOB_COLUMNS, type JobRow } from "./jobs-of";

/** A site's jobs that wait or run, the latest first. */
export async function openJobsOf(database: Pick<Database, "orm">, siteId: number): Promise<JobRow[]> {
  return database.orm
    .select(JOB_COLUMNS)
    .from(job)
    .where(and(eq(job.siteId, siteId), inArray(job.state, ["waiting", "running"])))
    .orderBy(desc(job.jobId));
}
