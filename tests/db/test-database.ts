import { randomBytes } from "node:crypto";
import postgres from "postgres";
import { inject } from "vitest";
import { type Database, openDatabase } from "../../db/open-database";

/** A database of a test's own. */
export type TestDatabase = Database & {
  /** Closes it and removes it from the server. */
  drop(): Promise<void>;
};

/**
 * A fresh database with all migrations applied, on the server that the test run started: the embedded one in the
 * project `db`, PostgreSQL 15 in the project `db-15`. Call `drop` in afterAll.
 */
export async function testDatabase(options: { max?: number } = {}): Promise<TestDatabase> {
  const url = await emptyDatabase();
  const database = await openDatabase({ url, ...options });
  return {
    ...database,
    async drop() {
      await database.close();
      await dropDatabase(url);
    },
  };
}

/** A fresh database without any tables; gives back its address. */
export async function emptyDatabase(): Promise<string> {
  const missing = inject("serverMissing");
  if (missing) throw new Error(missing);
  const name = `test_${randomBytes(6).toString("hex")}`;
  await onServer((sql) => sql.unsafe(`create database ${name} template template0`));
  const url = new URL(inject("serverUrl"));
  url.pathname = `/${name}`;
  return url.href;
}

/** Removes a database that `emptyDatabase` made, with whoever is still connected to it. */
export async function dropDatabase(url: string): Promise<void> {
  const name = new URL(url).pathname.slice(1);
  await onServer((sql) => sql.unsafe(`drop database if exists ${name} with (force)`));
}

async function onServer(work: (sql: postgres.Sql) => Promise<unknown>): Promise<void> {
  const sql = postgres(inject("serverUrl"), { max: 1, onnotice: () => {} });
  try {
    await work(sql);
  } finally {
    await sql.end({ timeout: 5 });
  }
}
