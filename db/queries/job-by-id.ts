import { and, eq } from "drizzle-orm";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { JOB_COLUMNS, type JobRow } from "./jobs-of";

/** One job of a site; null where there is none of that id. */
export async function jobById(database: Database, siteId: number, jobId: number): Promise<JobRow | null> {
  const [found] = await database.orm
    .select(JOB_COLUMNS)
    .from(job)
    .where(and(eq(job.siteId, siteId), eq(job.jobId, jobId)));
  return found ?? null;
}
