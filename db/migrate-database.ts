import { existsSync } from "node:fs";
import { join } from "node:path";
import { readMigrationFiles } from "drizzle-orm/migrator";
import { drizzle } from "drizzle-orm/postgres-js";
import { migrate } from "drizzle-orm/postgres-js/migrator";
import postgres from "postgres";
import { AppError } from "./app-error";
import { programRoot } from "./server/program-root";

/** "legroom" in bytes: the advisory lock that one migrating process at a time holds. */
const MIGRATION_LOCK = "30509774379970413";
const OLDEST_SERVER = 150_000;

/**
 * Brings the database at `url` to the schema that this program knows, forward only: what is missing runs in one
 * transaction under an advisory lock, so two processes never migrate at once and one that is killed leaves the
 * database as it was.
 *
 * @param folder The migrations that drizzle-kit generated; the program's own without it.
 * @throws AppError `server-version` for a PostgreSQL older than 15, `schema-version` when the database was
 * migrated by a newer program.
 */
export async function migrateDatabase(
  url: string,
  folder = join(programRoot(), "db", "migrations"),
): Promise<void> {
  const sql = postgres(url, { max: 1, onnotice: () => {} });
  try {
    await requireServerVersion(sql);
    if (!existsSync(join(folder, "meta", "_journal.json"))) return;
    const known = readMigrationFiles({ migrationsFolder: folder });
    if (await isCurrent(sql, known)) return;
    // The lock is the session's and the pool has one connection: the migrator runs under it.
    await sql`select pg_advisory_lock(${MIGRATION_LOCK}::bigint)`;
    if (!(await isCurrent(sql, known))) await migrate(drizzle(sql), { migrationsFolder: folder });
  } finally {
    await sql.end({ timeout: 5 });
  }
}

type Migrations = ReturnType<typeof readMigrationFiles>;

async function isCurrent(sql: postgres.Sql, known: Migrations): Promise<boolean> {
  const [{ migrated }] =
    await sql`select to_regclass('drizzle.__drizzle_migrations') is not null as migrated`;
  if (!migrated) return false;
  const applied = await sql<{ hash: string; created_at: string }[]>`
    select hash, created_at from drizzle.__drizzle_migrations order by created_at`;
  const knownAt = new Set(known.map((migration) => String(migration.folderMillis)));
  const foreign = applied.filter((row) => !knownAt.has(row.created_at)).length;
  if (foreign > 0) {
    throw new AppError(
      "schema-version",
      `This database was written by a newer release of the program (${foreign} of its migrations ${foreign === 1 ? "is" : "are"} ` +
        "unknown here). Update the program, or restore a backup made with this release into an empty database.",
    );
  }
  return applied.length === known.length;
}

async function requireServerVersion(sql: postgres.Sql): Promise<void> {
  const [{ number, name }] = await sql<{ number: number; name: string }[]>`
    select current_setting('server_version_num')::int as number, current_setting('server_version') as name`;
  if (number >= OLDEST_SERVER) return;
  throw new AppError(
    "server-version",
    `The server that DATABASE_URL names runs PostgreSQL ${name}. This program needs 15 or later; without DATABASE_URL ` +
      "it uses the one it brings.",
  );
}
