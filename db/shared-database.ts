import { type Database, openDatabase } from "./open-database";

const KEY = Symbol.for("legroom.database");

/**
 * This process's one database, opened by the first call. It is kept on globalThis because a web server loads the
 * same module several times, once for each bundle. An opening that failed is forgotten, and tried anew by the next call.
 */
export function sharedDatabase(): Promise<Database> {
  const holder = globalThis as { [KEY]?: Promise<Database> };
  holder[KEY] ??= openDatabase().catch((error: unknown) => {
    holder[KEY] = undefined;
    throw error;
  });
  return holder[KEY];
}
