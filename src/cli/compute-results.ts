import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { toAppError } from "../../db/to-app-error";
import { runDueJobs } from "../../db/writes/run-due-jobs";

/**
 * Computes a site's results after a change that is stored already.
 *
 * @throws AppError that says so where the server goes away meanwhile: the change stands
 */
export async function computeResults(
  database: Database,
  siteId: number,
  signal?: AbortSignal,
): Promise<void> {
  try {
    await runDueJobs(database, { siteId, wait: true, signal });
  } catch (thrown) {
    const error = toAppError(thrown);
    if (!(error instanceof AppError) || error.code !== "server-unreachable") throw error;
    throw new AppError(
      error.code,
      "What was said so far is stored, but the database server went away before the results were computed from it. " +
        "They are computed by the app when it runs, or by the next import.",
      { cause: error },
    );
  }
}
