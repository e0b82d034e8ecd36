import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import postgres from "postgres";
import { afterEach, beforeEach, expect, test } from "vitest";
import { migrateDatabase } from "../../db/migrate-database";
import { programRoot } from "../../db/server/program-root";
import { dropDatabase, emptyDatabase, testDatabase } from "./test-database";

let url: string;
let folder: string;
let sql: postgres.Sql;

beforeEach(async () => {
  url = await emptyDatabase();
  sql = postgres(url, { max: 2, onnotice: () => {} });
  folder = mkdtempSync(join(tmpdir(), "legroom-migrations-"));
  cpSync(join(programRoot(), "db", "migrations"), folder, { recursive: true });
});

afterEach(async () => {
  await sql.end();
  await dropDatabase(url);
  rmSync(folder, { recursive: true });
});

test("an empty database gets every migration of the folder, once", async () => {
  await migrateDatabase(url);
  const journal = JSON.parse(readFileSync(join(folder, "meta", "_journal.json"), "utf8"));
  expect(journal.entries.length).toBeGreaterThan(0);
  const count = async () => Number((await sql`select count(*) from drizzle.__drizzle_migrations`)[0].count);
  expect(await count()).toBe(journal.entries.length);
  await migrateDatabase(url);
  expect(await count()).toBe(journal.entries.length);
  expect((await sql`select to_regclass('site') is not null as there`)[0].there).toBe(true);
});

test("two processes that open an empty database at once both find it migrated", async () => {
  await Promise.all([migrateDatabase(url), migrateDatabase(url), migrateDatabase(url), migrateDatabase(url)]);
  expect(
    (await sql`select count(distinct created_at) = count(*) as once from drizzle.__drizzle_migrations`)[0]
      .once,
  ).toBe(true);
});

test("a migration that fails leaves nothing of itself nor of those before it in the same start", async () => {
  addMigration("create table half (id int);--> statement-breakpoint\nselect 1 / 0;");
  await expect(migrateDatabase(url, folder)).rejects.toThrow();
  expect(
    (await sql`select to_regclass('half') is null and to_regclass('site') is null as empty`)[0].empty,
  ).toBe(true);
});

test("a start that is killed in the middle of a migration leaves nothing half, and the next one migrates", async () => {
  addMigration("create table half (id int);--> statement-breakpoint\nselect pg_sleep(60);");
  const broken = migrateDatabase(url, folder).catch((error: unknown) => error);
  for (let ended = 0; ended === 0; ) {
    const rows = await sql`
      select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database()
      and query like '%pg_sleep(60)%' and pid <> pg_backend_pid()`;
    ended = rows.length;
  }
  expect(await broken).toBeInstanceOf(Error);
  expect((await sql`select to_regclass('half') is null as gone`)[0].gone).toBe(true);
  await migrateDatabase(url);
  expect((await sql`select to_regclass('site') is not null as there`)[0].there).toBe(true);
});

test("a database that a newer program migrated is refused, and says so", async () => {
  addMigration("create table of_tomorrow (id int);");
  await migrateDatabase(url, folder);
  await expect(migrateDatabase(url)).rejects.toMatchObject({
    code: "schema-version",
    message: expect.stringMatching(/newer release.*Update the program/),
  });
});

test("a pool over a migrated database reads bigint as a number and takes JSON both ways", async () => {
  const database = await testDatabase();
  try {
    const [row] = await database.sql`
      select ${1_764_000_000_000}::bigint as at_ms, ${database.sql.json({ leg: "L1" })}::jsonb as config`;
    expect(row).toEqual({ at_ms: 1_764_000_000_000, config: { leg: "L1" } });
  } finally {
    await database.drop();
  }
});

/** Adds a migration to the copied folder, as a newer release would. */
function addMigration(text: string): void {
  const path = join(folder, "meta", "_journal.json");
  const journal = JSON.parse(readFileSync(path, "utf8"));
  const idx = journal.entries.length;
  journal.entries.push({
    ...journal.entries[idx - 1],
    idx,
    when: journal.entries[idx - 1].when + 1,
    tag: "9999_next",
  });
  writeFileSync(path, JSON.stringify(journal));
  writeFileSync(join(folder, "9999_next.sql"), text);
}
