import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { siteQuality } from "../../db/queries/site-quality";
import { addSite } from "../../db/writes/add-site";
import { assessQuality } from "../../db/writes/assess-quality";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import { createLocalClock } from "../../src/analysis/local-time";
import type { LogSource } from "../../src/ingest/log-source";
import type { ColumnMap } from "../../src/site/column-map";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

const CLOCK = createLocalClock(SMALL_SITE.timezone);
const FIRST_DAY = CLOCK.dateStartMs("2026-05-03");
const RECEIVED = Date.UTC(2026, 11, 1);
const DAY_ROWS = 8640;

let database: TestDatabase;
let siteId: number;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());
beforeEach(async () => {
  siteId = (await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` })).siteId;
});

async function take(
  source: LogSource,
  columnMap: ColumnMap = SMALL_MAP,
  loggerName = "main",
): Promise<number> {
  const outcome = await importLog(database, {
    siteId,
    loggerName,
    source,
    columnMap,
    receivedAtMs: RECEIVED,
  });
  if (outcome.kind !== "imported") throw new Error(`expected an import, got ${JSON.stringify(outcome)}`);
  return outcome.logId;
}

async function take3Days(): Promise<void> {
  await take(smallLog(smallRows({ fromMs: FIRST_DAY, samples: 3 * DAY_ROWS })));
  await runDueJobs(database, { siteId });
}

const all = () => siteQuality(database, siteId, 0, RECEIVED);

test("a first log is looked through by the job that its import leaves", async () => {
  await take(smallLog(smallRows({ fromMs: FIRST_DAY, samples: 3 * DAY_ROWS })));
  expect(await all()).toMatchObject({ pending: true, loggers: [{ name: "main", days: [] }] });
  await runDueJobs(database, { siteId });
  const { pending, loggers, gaps } = await all();
  expect(pending).toBe(false);
  expect(gaps).toEqual([]);
  const [{ days, channels, coverage, nominalS }] = loggers;
  expect(nominalS).toBe(10);
  expect(channels).toEqual(["loadL1W", "loadL2W"]);
  expect(days.map(({ date, samples, heldS }) => [date, samples, heldS])).toEqual([
    ["2026-05-03", DAY_ROWS, 86_400],
    ["2026-05-04", DAY_ROWS, 86_400],
    ["2026-05-05", DAY_ROWS, 86_400],
  ]);
  expect(coverage.get("2026-05-04")).toEqual({ loadL1W: 1, loadL2W: 1 });
});

test("a day appended is looked at with its neighbours, and comes out as of one fresh import", async () => {
  await take3Days();
  await take(smallLog(smallRows({ fromMs: FIRST_DAY + 3 * 86_400_000, samples: DAY_ROWS }), "later.csv"));
  expect(await assessQuality(database, siteId)).toBe(2);
  const appended = await all();
  siteId = (await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` })).siteId;
  await take(smallLog(smallRows({ fromMs: FIRST_DAY, samples: 4 * DAY_ROWS })));
  expect(await assessQuality(database, siteId)).toBe(4);
  expect((await all()).loggers).toEqual(appended.loggers);
});

test("a log that is withdrawn takes its days along", async () => {
  await take3Days();
  const logId = await take(
    smallLog(smallRows({ fromMs: FIRST_DAY + 5 * 86_400_000, samples: DAY_ROWS }), "later.csv"),
  );
  await runDueJobs(database, { siteId });
  expect((await all()).loggers[0].days).toHaveLength(4);
  expect((await all()).gaps).toHaveLength(1);
  await withdrawLog(database, siteId, logId);
  await runDueJobs(database, { siteId });
  const { loggers, gaps } = await all();
  expect(loggers[0].days.map(({ date }) => date)).toEqual(["2026-05-03", "2026-05-04", "2026-05-05"]);
  expect(gaps).toEqual([]);
});

test("a month of many channels, whose minutes fill the connection's buffers, is read to its end", async () => {
  const header = ["Time", "L1", "L2", "V", "A", "S"].join(",");
  const rows = Array.from(
    { length: 30 * 1440 },
    (_, at) =>
      `${new Date(FIRST_DAY + at * 60_000).toISOString()},${at % 997},${at % 991},51.${at % 10},${at % 83},${at % 97}`,
  );
  await take(textLog(`${header}\n${rows.join("\n")}\n`, "month.csv"), {
    ...SMALL_MAP,
    channels: {
      loadL1W: { column: "L1", unit: "W" },
      loadL2W: { column: "L2", unit: "W" },
      batteryV: { column: "V", unit: "V" },
      batteryA: { column: "A", unit: "A" },
      solarW: { column: "S", unit: "W" },
    },
  });
  expect(await assessQuality(database, siteId)).toBe(30);
});

test("with nothing changed nothing is looked at again", async () => {
  await take3Days();
  expect(await assessQuality(database, siteId)).toBe(0);
});

test("of two loggers the clock of the second is held against the first", async () => {
  const rows = (shiftMin: number) =>
    Array.from({ length: 1440 }, (_, at) => {
      const load = 500 + Math.round(400 * Math.sin(at / 7)) + ((at * 7919) % 313);
      return `${new Date(FIRST_DAY + (at + shiftMin) * 60_000).toISOString()},${load}`;
    });
  const log = (shiftMin: number) =>
    textLog(`Time,Load\n${rows(shiftMin).join("\n")}\n`, `by-${shiftMin}.csv`);
  const map: ColumnMap = { ...SMALL_MAP, channels: { loadW: { column: "Load", unit: "W" } } };
  const named = [{ name: "main" }, { name: "meter" }];
  siteId = (await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}`, loggers: named })).siteId;
  await take(log(0), map);
  await take(log(7), map, "meter");
  await runDueJobs(database, { siteId });
  const { loggers } = await all();
  expect(loggers.map(({ name }) => name)).toEqual(["main", "meter"]);
  expect(loggers[1].days[0].lag).toMatchObject({ lagMin: 7, by: "loadW" });
  expect(loggers[0].days[0].lag).toBeNull();
});

test("a site without samples has no quality", async () => {
  expect(await assessQuality(database, siteId)).toBe(0);
  expect(await all()).toEqual({ loggers: [], gaps: [], balance: [], pending: false });
});
