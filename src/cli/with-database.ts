import { AppError } from "../../db/app-error";
import { type Database, openDatabase } from "../../db/open-database";
import { toAppError } from "../../db/to-app-error";

/**
 * Opens the database for as long as `work` takes, and lets go of it whatever happens. Where the server goes away in
 * the middle, it is looked into why: a full disk shows in the connection only as one that is gone.
 */
export async function withDatabase<T>(work: (database: Database) => Promise<T>): Promise<T> {
  const database = await openDatabase({ max: 4 });
  try {
    return await work(database);
  } catch (thrown) {
    const error = toAppError(thrown);
    if (!(error instanceof AppError) || error.code !== "server-unreachable") throw error;
    throw (await database.trouble()) ?? error;
  } finally {
    await database.close();
  }
}
