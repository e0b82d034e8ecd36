import postgres from "postgres";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type TestDatabase, testDatabase } from "./test-database";

// What db/patches/postgres+….patch mends in the driver: without it each of these ends the process, hangs, or lets
// a dead transaction write into another's.

let database: TestDatabase;
let pool: postgres.Sql;

beforeAll(async () => {
  database = await testDatabase({ max: 1 });
  pool = postgres(database.url, { max: 1, onnotice: () => {} });
  await pool`create table kept (step int)`;
});

afterAll(async () => {
  await pool.end({ timeout: 5 });
  await database.drop();
});

test("a transaction whose connection dies in the middle of a statement fails, and the pool goes on", async () => {
  const lost = pool.begin(async (sql) => {
    await sql`insert into kept values (1)`;
    await sql`select pg_sleep(60)`;
  });
  const failed = expect(lost).rejects.toMatchObject({ code: "CONNECTION_CLOSED" });
  while ((await endSessions("%pg_sleep(60)%", "active")) === 0);
  await failed;
  expect((await pool`select count(*)::int as n from kept`)[0].n).toBe(0);
});

test("a transaction whose connection died while it was idle doesn't write into the next one", async () => {
  let resume = () => {};
  const waiting = new Promise<void>((resolve) => {
    resume = resolve;
  });
  let afterwards: Promise<unknown> = Promise.resolve();
  const lost = pool.begin(async (sql) => {
    await sql`insert into kept values (2)`;
    await waiting;
    afterwards = sql`insert into kept values (3)`.then(
      () => "written",
      (error: { code: string }) => error.code,
    );
    await afterwards;
  });
  const failed = expect(lost).rejects.toMatchObject({ code: "CONNECTION_CLOSED" });
  while ((await endSessions("%insert into kept%", "idle in transaction")) === 0);
  await failed;
  await pool.begin(async (sql) => {
    await sql`insert into kept values (4)`;
    resume();
    await new Promise((resolve) => setTimeout(resolve, 100));
    await sql`insert into kept values (5)`;
  });
  expect(await afterwards).toBe("CONNECTION_CLOSED");
  expect((await pool`select step from kept order by step`).map((row) => row.step)).toEqual([4, 5]);
});

test("a reserved connection that died refuses statements and gives its place in the pool back", async () => {
  const reserved = await pool.reserve();
  const [{ pid }] = await reserved`select pg_backend_pid() as pid`;
  await database.sql`select pg_terminate_backend(${pid})`;
  await new Promise((resolve) => setTimeout(resolve, 100));
  await expect(reserved`select 1`.execute()).rejects.toMatchObject({ code: "CONNECTION_CLOSED" });
  await expect(reserved`select 1`.execute()).rejects.toMatchObject({ code: "CONNECTION_CLOSED" });
  reserved.release();
  expect((await pool`select 2 as n`)[0].n).toBe(2);
});

/**
 * Ends this test's sessions in that state whose last statement is like `pattern`; gives back how many there
 * were. A session that is ended in the middle of the statement before would fail in another way.
 */
async function endSessions(pattern: string, state: "active" | "idle in transaction"): Promise<number> {
  const rows = await database.sql`
    select pg_terminate_backend(pid) from pg_stat_activity
    where datname = current_database() and query like ${pattern} and state = ${state} and pid <> pg_backend_pid()`;
  return rows.length;
}
