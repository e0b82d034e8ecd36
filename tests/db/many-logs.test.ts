import { afterAll, beforeAll, expect, test } from "vitest";
import { logsPage } from "../../db/queries/logs-page";
import { openCopyIn } from "../../db/samples/copy-in";
import { foldStamps } from "../../db/samples/fold-stamps";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { standsAsRead } from "../../db/writes/stands-as-read";
import { foldNominalMs } from "../../src/ingest/fold-nominal";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// A logger that sends a row at a time has tens of thousands of logs after a day.

const MANY = 20_000;
const FROM = Date.UTC(2026, 4, 3);

let database: TestDatabase;
let siteId: number;
let loggerId: number;
let rows = 0;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
});
afterAll(() => database.drop());

/** Imports the next row as a log of its own; gives back how long that took, ms. */
async function importRow(): Promise<number> {
  const log = smallLog(smallRows({ fromMs: FROM + rows++ * 1000, samples: 1 }), `${rows}.csv`);
  const beganAt = performance.now();
  const outcome = await importLog(database, {
    siteId,
    loggerName: "main",
    source: log,
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 6, 1),
  });
  expect(outcome.kind).toBe("imported");
  return performance.now() - beganAt;
}

async function medianOf(count: number): Promise<number> {
  const tookMs: number[] = [];
  for (let i = 0; i < count; i++) tookMs.push(await importRow());
  return tookMs.sort((a, b) => a - b)[count >> 1];
}

/** As if so many rows had come in one by one: copies of the last log and its sample, a second apart. */
async function copyLastLog(count: number): Promise<void> {
  await database.sql`
    insert into log (site_id, logger_id, sha256, name, size_bytes, compressed_bytes, column_map, evidence, verdict, state,
      guessed, position, first_ms, last_ms, shift_ms, site_zone, first_stamps_ms, imported_at_ms)
    select site_id, logger_id, md5(n::text) || md5((n + 1)::text), name, size_bytes, compressed_bytes, column_map, evidence,
      verdict, state, guessed, position + n, first_ms + n * 1000, last_ms + n * 1000, shift_ms, site_zone,
      array[first_ms + n * 1000], imported_at_ms
    from (select * from log where site_id = ${siteId} order by position desc limit 1) as last,
      generate_series(1, ${count}::int) as n`;
  const columns = await database.sql<{ name: string }[]>`
    select attname as name from pg_attribute where attrelid = 'sample'::regclass and attnum > 3`;
  const rest = columns.map(({ name }) => name).join(", ");
  await database.sql.unsafe(`
    insert into sample (site_id, logger_id, at_ms, ${rest})
    select site_id, logger_id, at_ms + n * 1000, ${rest}
    from (select * from sample where site_id = ${siteId} order by at_ms desc limit 1) as last,
      generate_series(1, ${count}) as n`);
  await database.sql`
    update logger set samples = samples + ${count}, last_ms = last_ms + ${count * 1000} where site_id = ${siteId}`;
  await database.sql`analyze log, sample, logger`;
  rows += count;
}

test(`an import costs the same after ${MANY} logs as after a few`, async () => {
  // The first ones compile and plan.
  await medianOf(20);
  const fewMs = await medianOf(15);
  await copyLastLog(MANY);
  await medianOf(5);
  const manyMs = await medianOf(15);
  console.log(
    `an import of one row: ${fewMs.toFixed(1)} ms after 20 logs, ${manyMs.toFixed(1)} ms after ${MANY}`,
  );
  // Reading every log's stamps and map took more than ten times as long.
  expect(manyMs).toBeLessThan(3 * fewMs);
}, 300_000);

/** One integer, as COPY has it. */
const ROW = Buffer.from([0, 1, 0, 0, 0, 4, 0, 0, 0, 7]);

test("a COPY of one row doesn't wait for the acknowledgement of the row before it says that it is done", async () => {
  const { sql } = database;
  const medianMs = async (work: () => Promise<unknown>) => {
    const tookMs: number[] = [];
    for (let i = 0; i < 40; i++) {
      const beganAt = performance.now();
      await work();
      tookMs.push(performance.now() - beganAt);
    }
    return tookMs.sort((a, b) => a - b)[20];
  };
  await sql.begin(async (tx) => {
    await tx`create temporary table few (n integer) on commit drop`;
    const wayMs = await medianMs(() => tx`select 1`);
    const copyMs = await medianMs(async () => {
      const into = await openCopyIn(tx, "copy few from stdin with (format binary)");
      await into.write(ROW);
      await into.end();
      await tx`select 1`;
    });
    // Nagle's algorithm (RFC 896) against delayed acknowledgements (RFC 1122, 4.2.3.2) cost 40 ms each time.
    expect(copyMs).toBeLessThan(6 * wayMs + 25);
  });
});

test("a page of their list costs the same, wherever it lies", async () => {
  const tookMs = async (before: number | undefined) => {
    const beganAt = performance.now();
    for (let i = 0; i < 10; i++) {
      expect((await logsPage(database, siteId, { before, limit: 50 })).logs).toHaveLength(50);
    }
    return performance.now() - beganAt;
  };
  await tookMs(undefined);
  const firstMs = await tookMs(undefined);
  const deepMs = await tookMs(1000);
  expect(deepMs).toBeLessThan(5 * firstMs + 50);
  const [plan] = await database.sql`
    explain (format json) select log_id from log where site_id = ${siteId} and log_id < 1000 order by log_id desc limit 51`;
  expect(JSON.stringify(plan)).not.toContain("Sort");
});

test("the stamps that the interval is taken from are those of all logs, however these lie", async () => {
  const { sql } = database;
  [{ loggerId }] = await sql`select logger_id as "loggerId" from logger where site_id = ${siteId}`;
  // Logs of many stamps, that overlap, and lie apart; some that stamp the end.
  await sql`delete from log where site_id = ${siteId} and position % 7 <> 0`;
  await sql`
    update log set first_stamps_ms = array(select first_ms + shift + n * 1500
        from generate_series(0, case when position % 70 = 0 then 400 else position % 3 end) as n), shift_ms = shift
    from (select log_id as id, case when position % 2 = 0 then 1000 else 0 end as shift from log) as s
    where site_id = ${siteId} and log_id = id`;
  const all = await sql<{ stamps: number[] }[]>`
    select first_stamps_ms as stamps from log where site_id = ${siteId}`;
  const distinct = Float64Array.from(new Set(all.flatMap(({ stamps }) => stamps))).sort();
  expect(distinct.length).toBeGreaterThan(5000);
  await sql.begin(async (tx) => {
    const found = await foldStamps(tx, { siteId, loggerId });
    expect([...found]).toEqual([...distinct.subarray(0, 1000)]);
    expect(foldNominalMs([found])).toBe(foldNominalMs(all.map(({ stamps }) => stamps)));
  });
});

test("logs stand as they were read until the interval or the zone is another one", async () => {
  const { sql } = database;
  const place = { siteId, loggerId, siteZone: SMALL_SITE.timezone };
  const ask = (of: typeof place, nominalMs: number | null) =>
    sql.begin((tx) => standsAsRead(tx, of, nominalMs));
  await sql`update log set shift_ms = 0 where site_id = ${siteId}`;
  expect(await ask(place, 1000)).toBe(true);
  expect(await ask({ ...place, siteZone: "Europe/Berlin" }, 1000)).toBe(false);
  await sql`
    update log set column_map = jsonb_set(column_map, '{time,zone}', '"UTC"') where site_id = ${siteId}`;
  expect(await ask({ ...place, siteZone: "Europe/Berlin" }, 1000)).toBe(true);

  const one = sql`(select max(log_id) from log where site_id = ${siteId})`;
  await sql`
    update log set column_map = jsonb_set(column_map, '{time,stamps}', '"end"'), shift_ms = 1000
    where site_id = ${siteId} and log_id = ${one}`;
  expect(await ask(place, 1000.4)).toBe(true);
  expect(await ask(place, 1500)).toBe(false);
  expect(await ask(place, null)).toBe(false);
  await sql`update log set shift_ms = null where site_id = ${siteId} and log_id = ${one}`;
  expect(await ask(place, 1000)).toBe(false);
  await sql`update log set shift_ms = 1000, first_stamps_ms = null where site_id = ${siteId} and log_id = ${one}`;
  expect(await ask(place, 1000)).toBe(false);
});
