import { drizzle, type PostgresJsDatabase } from "drizzle-orm/postgres-js";
import postgres from "postgres";
import type { AppError } from "./app-error";
import { migrateDatabase } from "./migrate-database";
import { joinServer } from "./server/join-server";
import { toAppError } from "./to-app-error";

/** The driver, with bigint columns read as numbers (epoch milliseconds and counts stay far below 2^53). */
export type Sql = postgres.Sql<{ bigint: number }>;

/** An open database: a pool of connections, and drizzle over the same pool. */
export type Database = {
  readonly url: string;
  readonly sql: Sql;
  readonly orm: PostgresJsDatabase;
  /** Why the embedded server broke off, as far as it can be told; null for another server. */
  trouble(): Promise<AppError | null>;
  /** Ends the pool, waiting for statements under way, and lets go of the embedded server. */
  close(): Promise<void>;
};

/** Enough for a web server or a worker; the embedded server has room for several of both. */
const POOL_SIZE = 8;

/**
 * Opens the database, at `url` or on the server that `joinServer` joins, and brings it to the current schema.
 * Nothing connects before this is called. The pool reconnects by itself when the server comes back.
 *
 * @param options.max Connections at most.
 * @throws AppError as `joinServer` and `migrateDatabase` do; `server-unreachable`, `disk-full`.
 */
export async function openDatabase(options: { url?: string; max?: number } = {}): Promise<Database> {
  const joined = options.url === undefined ? await joinServer() : undefined;
  const url = options.url ?? joined?.url ?? "";
  try {
    await migrateDatabase(url);
  } catch (error) {
    await joined?.leave();
    throw toAppError(error);
  }
  const sql = postgres(url, {
    max: options.max ?? POOL_SIZE,
    onnotice: () => {},
    connection: { application_name: "legroom" },
    types: { bigint: { to: 20, from: [20], parse: Number, serialize: String } },
  });
  const orm = drizzle(sql);
  letJsonThrough(sql);
  return {
    url,
    sql,
    orm,
    trouble: async () => (await joined?.trouble()) ?? null,
    async close() {
      await sql.end({ timeout: 10 });
      await joined?.leave();
    },
  };
}

/**
 * drizzle hands JSON over as text and, so that it isn't encoded twice, takes the driver's encoder away, which
 * breaks `sql.json` on the same pool. Text goes through as it is, everything else is encoded.
 */
function letJsonThrough(sql: Sql): void {
  const encode = (value: unknown) => (typeof value === "string" ? value : JSON.stringify(value));
  for (const type of [114, 3802]) sql.options.serializers[type] = encode;
}
