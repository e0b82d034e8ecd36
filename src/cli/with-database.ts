import { type Database, openDatabase } from "../../db/open-database";

/** Opens the database for as long as `work` takes, and lets go of it whatever happens. */
export async function withDatabase<T>(work: (database: Database) => Promise<T>): Promise<T> {
  const database = await openDatabase({ max: 4 });
  try {
    return await work(database);
  } finally {
    await database.close();
  }
}
