import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { sharedDatabase } from "../../db/shared-database";
import { toAppError } from "../../db/to-app-error";

/**
 * Runs a query on this process's database. What a person can act on leaves as an AppError with its message
 * in `digest`, the one field of an error that reaches the error page of a production build.
 */
export async function read<T>(query: (database: Database) => Promise<T>): Promise<T> {
  try {
    return await query(await sharedDatabase());
  } catch (thrown) {
    const error = toAppError(thrown);
    if (error instanceof AppError)
      Object.assign(error, { digest: `${DIGEST}${error.code};${error.message}` });
    throw error;
  }
}

const DIGEST = "legroom;";
