import type postgres from "postgres";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { dueJobs } from "../queries/due-jobs";
import type { JobKind, JobProgress, JobState } from "../schema/job";
import { assessQuality } from "./assess-quality";
import type { ImportPayload } from "./enqueue-import";
import type { RefoldPayload, RezonePayload } from "./enqueue-refold";
import { importReceivedLog } from "./import-log";
import { JOB_LOCK } from "./job-lock";
import { recompute } from "./recompute";
import { runRefold } from "./run-refold";

/** What is run, and how it is followed. */
export type RunOptions = {
  /** Only jobs of this site; those of all sites where absent. */
  siteId?: number;
  /** Stops: a job under way is broken off and put back in line. */
  signal?: AbortSignal;
  /** True: waits for the site's jobs that another process runs, too. */
  wait?: boolean;
  /** True: leaves in line what is to pause yet. */
  sparing?: boolean;
  onProgress?: (kind: JobKind, progress: JobProgress) => void;
};

/** How often a job is taken up before it is given up on. */
const MAX_ATTEMPTS = 3;
const PROGRESS_EVERY_MS = 400;
const WAIT_MS = 200;

/**
 * Runs the jobs that are in line, one after the other, until none is left: new ones, and those whose runner
 * died. Jobs that another process runs are left to it.
 *
 * @returns how many were run here
 * @throws what the driver says where the server is away
 */
export async function runDueJobs(database: Database, options: RunOptions = {}): Promise<number> {
  let ran = 0;
  while (!options.signal?.aborted) {
    const open = await dueJobs(database, options.siteId ?? null);
    let took = false;
    for (const { siteId, jobId, pauseMs } of open) {
      if (options.sparing === true && pauseMs > 0) continue;
      took = await runOne(database, siteId, jobId, options);
      if (took) break;
    }
    if (took) ran++;
    else if (open.length === 0 || options.wait !== true) break;
    else await new Promise((resolve) => setTimeout(resolve, WAIT_MS));
  }
  return ran;
}

/** Takes up one job and runs it; false where another process has it, or it has ended meanwhile. */
async function runOne(
  database: Database,
  siteId: number,
  jobId: number,
  options: RunOptions,
): Promise<boolean> {
  // The lock is the session's: it lives on a connection of its own for as long as the job runs.
  const session = await database.sql.reserve();
  try {
    const [{ locked }] = await session`select pg_try_advisory_lock(${JOB_LOCK}, ${jobId}) as locked`;
    if (!locked) return false;
    try {
      const job = await takeUp(session, siteId, jobId);
      if (job === null) return false;
      await run(database, siteId, jobId, job, options);
      return true;
    } finally {
      // On a connection that is gone the lock is too.
      await session`select pg_advisory_unlock(${JOB_LOCK}, ${jobId})`.catch(() => undefined);
    }
  } finally {
    session.release();
  }
}

type TakenJob = { kind: JobKind; payload: unknown; state: JobState; attempts: number };

async function takeUp(session: postgres.Sql, siteId: number, jobId: number): Promise<TakenJob | null> {
  const [job] = await session<(TakenJob & { cancelRequested: boolean })[]>`
    select kind, payload, state, attempts, cancel_requested as "cancelRequested" from job
    where site_id = ${siteId} and job_id = ${jobId}`;
  if (job === undefined || (job.state !== "waiting" && job.state !== "running")) return null;
  if (job.cancelRequested) {
    await close(session, siteId, jobId, "cancelled", null, null);
    return null;
  }
  if (job.attempts >= MAX_ATTEMPTS) {
    const error = {
      code: "attempts",
      message: `It was taken up ${job.attempts} times, and each time the program that ran it ended before it was done. See that there is enough memory and disk, then start it anew.`,
    };
    await close(session, siteId, jobId, "failed", null, error);
    return null;
  }
  await session`
    update job set state = 'running', attempts = attempts + 1, progress = null,
      started_at_ms = (extract(epoch from clock_timestamp()) * 1000)::bigint
    where site_id = ${siteId} and job_id = ${jobId}`;
  return job;
}

async function run(
  database: Database,
  siteId: number,
  jobId: number,
  job: TakenJob,
  options: RunOptions,
): Promise<void> {
  const stop = new AbortController();
  const onStop = () => stop.abort();
  options.signal?.addEventListener("abort", onStop);
  // It may have come while the job was taken up, and an event is not told twice.
  if (options.signal?.aborted) stop.abort();
  let progress: JobProgress | null = null;
  let telling: Promise<unknown> = Promise.resolve();
  const timer = setInterval(() => {
    telling = telling
      .then(async () => {
        const [row] = await database.sql<{ cancelRequested: boolean }[]>`
        update job set progress = ${JSON.stringify(progress)}::text::jsonb
        where site_id = ${siteId} and job_id = ${jobId} returning cancel_requested as "cancelRequested"`;
        if (row?.cancelRequested) stop.abort();
      })
      .catch(() => undefined);
  }, PROGRESS_EVERY_MS);
  const follow = {
    signal: stop.signal,
    onProgress: (now: JobProgress) => {
      progress = now;
      options.onProgress?.(job.kind, now);
    },
  };
  let state: JobState = "done";
  let result: unknown = null;
  let error: { code: string; message: string } | null = null;
  try {
    result = await work(database, siteId, job, follow);
  } catch (thrown) {
    if (thrown instanceof AppError && thrown.code === "server-unreachable") throw thrown;
    const stopped = thrown instanceof AppError && thrown.code === "cancelled";
    if (stopped && options.signal?.aborted) state = "waiting";
    else state = stopped ? "cancelled" : "failed";
    if (state === "failed") {
      error = {
        code: thrown instanceof AppError ? thrown.code : "defect",
        message: thrown instanceof Error ? thrown.message : String(thrown),
      };
      if (!(thrown instanceof AppError)) console.error(thrown);
    }
  } finally {
    clearInterval(timer);
    options.signal?.removeEventListener("abort", onStop);
    await telling;
  }
  if (state === "waiting") await putBack(database, siteId, jobId, job.kind);
  else await close(database.sql, siteId, jobId, state, result, error, progress);
  if (state === "done") await forgetEarlier(database, siteId, jobId, job.kind);
}

/** What the same kind of job came to before, where each covers the one before it: rows that come every second add up. */
async function forgetEarlier(
  database: Database,
  siteId: number,
  jobId: number,
  kind: JobKind,
): Promise<void> {
  if (kind !== "recompute" && kind !== "assess") return;
  await database.sql`
    delete from job where site_id = ${siteId} and job_id < ${jobId} and kind = ${kind} and state = 'done'`;
}

async function work(
  database: Database,
  siteId: number,
  { kind, payload }: TakenJob,
  follow: { signal: AbortSignal; onProgress: (progress: JobProgress) => void },
): Promise<unknown> {
  switch (kind) {
    case "import":
      return importReceivedLog(database, { siteId, ...(payload as ImportPayload), ...follow });
    case "refold":
      return runRefold(database, siteId, payload as RefoldPayload | RezonePayload, follow);
    case "recompute": {
      const computed = await recompute(database, siteId, follow);
      await assessQuality(database, siteId, follow);
      return computed;
    }
    case "assess":
      return assessQuality(database, siteId, follow);
  }
}

/** A job that was broken off because its runner has to stop: it counts as not taken up. */
async function putBack(database: Database, siteId: number, jobId: number, kind: JobKind): Promise<void> {
  await database.sql.begin(async (tx) => {
    // Another one may have got in line meanwhile; it covers this one, and only one of these kinds may wait.
    const [other] = await tx`
      select 1 from job where site_id = ${siteId} and kind = ${kind} and state = 'waiting'
        and kind in ('recompute', 'assess')`;
    if (other !== undefined) await close(tx, siteId, jobId, "cancelled", null, null);
    else {
      await tx`
        update job set state = 'waiting', attempts = attempts - 1
        where site_id = ${siteId} and job_id = ${jobId}`;
    }
  });
}

async function close(
  sql: postgres.Sql | postgres.TransactionSql,
  siteId: number,
  jobId: number,
  state: JobState,
  result: unknown,
  error: { code: string; message: string } | null,
  progress: JobProgress | null = null,
): Promise<void> {
  await sql`
    update job set state = ${state}, result = ${JSON.stringify(result)}::text::jsonb,
      error = ${JSON.stringify(error)}::text::jsonb, progress = ${JSON.stringify(progress)}::text::jsonb,
      finished_at_ms = (extract(epoch from clock_timestamp()) * 1000)::bigint
    where site_id = ${siteId} and job_id = ${jobId}`;
}
