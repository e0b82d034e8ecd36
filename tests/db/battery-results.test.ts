import { afterAll, beforeAll, expect, test } from "vitest";
import { batteryResults } from "../../db/queries/battery-results";
import { siteResults } from "../../db/queries/site-results";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import type { ColumnMap } from "../../src/site/column-map";
import { SMALL_SITE, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// Over the end of a month at the site: 1 June begins at 06:00 UTC there.
const FROM = Date.UTC(2026, 4, 31, 6);
const MAP: ColumnMap = {
  version: 1,
  time: { column: "Time", format: "auto", zone: "UTC", stamps: "start" },
  channels: {
    loadW: { column: "Load", unit: "W" },
    batteryA: { column: "A", unit: "A", positive: "discharge" },
    batteryV: { column: "V", unit: "V" },
    batterySocPct: { column: "SOC", unit: "%" },
    source: { column: "Feed", words: { own: "inverter", street: "utility" } },
  },
  missing: [],
};

let database: TestDatabase;
let siteId: number;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
  const rows = Array.from({ length: 2 * 1440 }, (_, minute) => {
    const june = minute >= 1440;
    const loadW = 500 + ((minute * 37) % 2000);
    const amps = (60 + loadW / 0.94) / 50;
    return `${new Date(FROM + minute * 60_000).toISOString()},${loadW},${amps.toFixed(3)},50,${june ? 40 : 80},own`;
  });
  await importLog(database, {
    siteId,
    loggerName: "main",
    source: textLog(`Time,Load,A,V,SOC,Feed\n${rows.join("\n")}\n`, "battery.csv"),
    columnMap: MAP,
    receivedAtMs: Date.UTC(2026, 6, 1),
  });
  await runDueJobs(database, { siteId, wait: true });
});
afterAll(() => database.drop());

const MAY_31 = { firstDate: "2026-05-01", lastDate: "2026-05-31" };
const BOTH = { firstDate: "2026-05-01", lastDate: "2026-06-30" };

test("a period has the battery of its days alone, and all of them that of the whole history", async () => {
  const may = await batteryResults(database, siteId, MAY_31);
  expect(may?.heldS).toBe(86_400);
  expect(may?.battery?.socByHour?.map((hour) => hour.medianPct)).toEqual(Array(24).fill(80));
  expect(may?.battery?.power?.model?.n).toBe(1440);
  const both = await batteryResults(database, siteId, BOTH);
  expect(both?.battery?.socByHour?.[0]).toMatchObject({
    days: 2,
    leastPct: 40,
    greatestPct: 80,
    medianPct: 60,
  });
  expect(both?.battery?.power?.model?.efficiency).toBeCloseTo(0.94, 3);
  expect([both?.fromMs, both?.toMs]).toEqual([Date.UTC(2026, 4, 1, 6), Date.UTC(2026, 6, 1, 6)]);
  // All that was logged is from its first day to its last.
  const all = await batteryResults(database, siteId, null);
  expect(all).toMatchObject({ range: { firstDate: "2026-05-31", lastDate: "2026-06-01" }, fromMs: FROM });
  expect(all?.battery).toEqual(both?.battery);
  const whole = await siteResults(database, siteId);
  expect(both?.battery).toEqual(whole?.figures.battery);
  expect(both?.loadDuration).toEqual(whole?.figures.loadDuration);
  expect(both?.transfers).toEqual([]);
  expect(both?.revision).not.toBeNull();
});

test("a period without samples, and a site that isn't there, have none", async () => {
  const empty = { firstDate: "2025-01-01", lastDate: "2025-02-01" };
  expect(await batteryResults(database, siteId, empty)).toMatchObject({
    heldS: 0,
    battery: null,
    demand: null,
  });
  expect(await batteryResults(database, siteId + 1, BOTH)).toBeNull();
});
