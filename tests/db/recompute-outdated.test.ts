import { serialize } from "node:v8";
import { afterAll, beforeAll, expect, test } from "vitest";
import { siteResults } from "../../db/queries/site-results";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { recomputeOutdated } from "../../db/writes/recompute-outdated";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { PASS_VERSION } from "../../src/analysis/pass-config";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

let database: TestDatabase;
let siteId: number;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
  await importLog(database, {
    siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: Date.UTC(2026, 4, 3), samples: 20_000 })),
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 6, 1),
  });
  await runDueJobs(database, { siteId, wait: true });
});
afterAll(() => database.drop());

test("results of this version are left as they are", async () => {
  expect(await recomputeOutdated(database)).toBe(0);
});

test("results of an older version are computed anew from the samples, to the same as a first time", async () => {
  const before = await siteResults(database, siteId);
  // As an older version would have left them: without what it didn't know yet, and with states of its own.
  await database.sql`update site_result set pass_version = ${PASS_VERSION - 1}, pass_config = 'older' where site_id = ${siteId}`;
  await database.sql`update kept_state set pass_config = 'older' where site_id = ${siteId}`;
  await database.sql`update day_result set sums = ${serialize({})} where site_id = ${siteId}`;
  await database.sql`delete from transfer where site_id = ${siteId}`;
  expect(await recomputeOutdated(database)).toBe(1);
  await runDueJobs(database, { siteId, wait: true });
  expect(await siteResults(database, siteId)).toEqual(before);
  expect(before?.transfers.length).toBeGreaterThan(0);
  expect(await recomputeOutdated(database)).toBe(0);
});
