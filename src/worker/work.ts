import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { dueJobs } from "../../db/queries/due-jobs";
import { toAppError } from "../../db/to-app-error";
import { JOB_CHANNEL } from "../../db/writes/job-lock";
import { runDueJobs } from "../../db/writes/run-due-jobs";

/** Between two looks for jobs that nobody announced: those whose runner died. */
const POLL_MS = 2000;

/**
 * Runs jobs until `signal`. A server that is away is waited for; anything else that goes wrong outside a job
 * ends it.
 */
export async function work(database: Database, signal: AbortSignal): Promise<void> {
  let wake = () => {};
  let announced = false;
  const onJob = () => {
    announced = true;
    wake();
  };
  signal.addEventListener("abort", () => wake());
  // The driver listens again by itself after the server was away.
  database.sql.listen(JOB_CHANNEL, onJob).catch((error: unknown) => {
    console.error(`Jobs are looked for every ${POLL_MS / 1000} s only: ${messageOf(error)}`);
  });
  while (!signal.aborted) {
    announced = false;
    let pauseMs = POLL_MS;
    try {
      await runDueJobs(database, { signal, sparing: true });
      for (const job of await dueJobs(database, null))
        if (job.pauseMs > 0) pauseMs = Math.min(pauseMs, job.pauseMs);
    } catch (error) {
      const known = toAppError(error);
      if (!(known instanceof AppError)) throw error;
      console.error(known.message);
    }
    if (announced || signal.aborted) continue;
    await new Promise<void>((resolve) => {
      const timer = setTimeout(resolve, pauseMs);
      wake = () => {
        clearTimeout(timer);
        resolve();
      };
    });
  }
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
