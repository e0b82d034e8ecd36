import { afterAll, beforeAll, expect, test } from "vitest";
import { siteWants } from "../../db/queries/site-wants";
import { addSite } from "../../db/writes/add-site";
import { enqueueImport } from "../../db/writes/enqueue-import";
import { enqueueRecompute } from "../../db/writes/enqueue-recompute";
import { importLog } from "../../db/writes/import-log";
import { receiveLog } from "../../db/writes/receive-log";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

const FROM = Date.UTC(2026, 4, 3);
const RECEIVED = Date.UTC(2026, 4, 4);

let database: TestDatabase;
let siteId: number;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
});
afterAll(() => database.drop());

test("a site without anything wants nothing that the logs would tell", async () => {
  expect(await siteWants(database, siteId)).toEqual({
    neutralAtMs: null,
    waiting: null,
    failed: [],
    lastReceivedAtMs: null,
  });
});

test("logs that came and were not imported wait for a person, until they are in line", async () => {
  const receive = async (name: string, at: number) => {
    const body = smallLog(smallRows({ fromMs: FROM + at, samples: 20 }), name);
    return receiveLog(database, { siteId, loggerName: "main", name, body: body.open() });
  };
  const first = await receive("first.csv", 0);
  await receive("second.csv", 3_600_000);
  const waits = (await siteWants(database, siteId)).waiting;
  expect(waits).toEqual({ logs: 2, logId: first.logId, name: "first.csv" });
  await enqueueImport(database, siteId, {
    logId: first.logId,
    columnMap: SMALL_MAP,
    evidence: null,
    guessed: [],
    allOrNothing: false,
    replace: null,
  });
  expect((await siteWants(database, siteId)).waiting).toMatchObject({ logs: 1, name: "second.csv" });
});

test("a failure counts until work of its kind comes after it", async () => {
  await database.sql`
    update job set state = 'failed', error = '{"code":"disk-full","message":"The disk is full."}'::jsonb
    where site_id = ${siteId}`;
  expect((await siteWants(database, siteId)).failed).toMatchObject([
    { kind: "import", message: "The disk is full." },
  ]);
  await enqueueRecompute(database.orm, siteId);
  expect((await siteWants(database, siteId)).failed).toHaveLength(1);
  await database.sql`update job set state = 'failed' where site_id = ${siteId} and kind = 'recompute'`;
  expect((await siteWants(database, siteId)).failed.map(({ kind, logId }) => [kind, logId])).toEqual([
    ["import", expect.any(Number)],
    ["recompute", null],
  ]);
  await enqueueRecompute(database.orm, siteId);
  expect((await siteWants(database, siteId)).failed.map(({ kind }) => kind)).toEqual(["import"]);
});

test("it says when the latest log of the fold came", async () => {
  await importLog(database, {
    siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: FROM + 86_400_000, samples: 100 }), "third.csv"),
    columnMap: SMALL_MAP,
    receivedAtMs: RECEIVED,
  });
  expect((await siteWants(database, siteId)).lastReceivedAtMs).toBe(RECEIVED);
});
