import { desc, eq } from "drizzle-orm";
import type { Database } from "../open-database";
import { type JobKind, type JobProgress, type JobState, job } from "../schema/job";

/** One job as screens show it. */
export type JobRow = {
  jobId: number;
  kind: JobKind;
  /** Of an import: `{ logId, columnMap, allOrNothing }`. */
  payload: unknown;
  state: JobState;
  attempts: number;
  progress: JobProgress | null;
  /** Of an import that is done: its `ImportOutcome`. */
  result: unknown;
  error: { code: string; message: string } | null;
  cancelRequested: boolean;
  createdAtMs: number;
  startedAtMs: number | null;
  finishedAtMs: number | null;
};

/** The latest jobs of a site, latest first. */
export async function jobsOf(database: Database, siteId: number, limit = 50): Promise<JobRow[]> {
  return database.orm
    .select(JOB_COLUMNS)
    .from(job)
    .where(eq(job.siteId, siteId))
    .orderBy(desc(job.jobId))
    .limit(limit);
}

/** Columns of `JobRow`. */
export const JOB_COLUMNS = {
  jobId: job.jobId,
  kind: job.kind,
  payload: job.payload,
  state: job.state,
  attempts: job.attempts,
  progress: job.progress,
  result: job.result,
  error: job.error,
  cancelRequested: job.cancelRequested,
  createdAtMs: job.createdAtMs,
  startedAtMs: job.startedAtMs,
  finishedAtMs: job.finishedAtMs,
};
