import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { monthResults } from "../../db/queries/month-results";
import { samplesBetween } from "../../db/queries/samples-between";
import { sampledLogger } from "../../db/samples/sampled-logger";
import { sampledLoggers } from "../../db/samples/sampled-loggers";
import { addSite, checkedSite } from "../../db/writes/add-site";
import { changeSite } from "../../db/writes/change-site";
import { importLog } from "../../db/writes/import-log";
import { recompute } from "../../db/writes/recompute";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { createReview } from "../../src/analysis/review";
import { type NumericChannel, SOURCE_CODE } from "../../src/analysis/series";
import type { ColumnMap } from "../../src/site/column-map";
import { seriesOf } from "../unit/analysis/samples";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// 3 May 2026, midnight at the site.
const MAY = Date.UTC(2026, 4, 3, 6);
const DAY_MS = 86_400_000;
const RECEIVED = Date.UTC(2026, 11, 1);

const SITE = {
  ...SMALL_SITE,
  loggers: [{ name: "main" }, { name: "meter" }, { name: "second" }],
};

const METER_MAP: ColumnMap = {
  version: 1,
  time: { column: "Time", format: "auto", zone: "site", stamps: "start" },
  channels: { gridW: { column: "Grid W", unit: "W" } },
  missing: [""],
};

/** Grid power each minute, ten seconds after it: on the utility it carries some load, otherwise none. */
function meterLog(fromMs: number, minutes: number, without: (minute: number) => boolean = () => false) {
  const rows = Array.from({ length: minutes }, (_, minute) => {
    const atMs = fromMs + minute * 60_000 + 10_000;
    return without(minute)
      ? ""
      : `${new Date(atMs).toISOString()},${(atMs / 1000) % 3600 >= 3000 ? 1500 : 0}\n`;
  });
  return textLog(`Time,Grid W\n${rows.join("")}`, `meter-${fromMs}-${minutes}.csv`);
}

let database: TestDatabase;
let siteId: number;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());
beforeEach(async () => {
  ({ siteId } = await addSite(database, { ...SITE, name: `Site ${++sites}` }));
});

const takeMain = (fromMs: number, samples: number, site = siteId) =>
  importLog(database, {
    siteId: site,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs, samples }), `main-${fromMs}-${samples}.csv`),
    columnMap: SMALL_MAP,
    receivedAtMs: RECEIVED,
  });
const takeMeter = (source: ReturnType<typeof meterLog>, site = siteId, loggerName = "meter") =>
  importLog(database, { siteId: site, loggerName, source, columnMap: METER_MAP, receivedAtMs: RECEIVED });

/** All result rows of a site but its ids, as text. */
async function results(site: number): Promise<string> {
  const parts: string[] = [];
  for (const table of [
    "transfer",
    "dropout",
    "near_limit",
    "imbalance_interval",
    "interval_change",
    "day_result",
    "hour_result",
    "gap",
    "result_note",
  ]) {
    const rows = await database.sql.unsafe<{ row: string }[]>(
      `select (to_jsonb(t) - 'site_id' - 'segment_ms' - 'digest' - 'found' - 'sums')::text as row from "${table}" t
       where site_id = ${site} order by 1`,
    );
    parts.push(table, ...rows.map(({ row }) => row));
  }
  return parts.join("\n");
}

test("two loggers are analysed together, as the review of their samples in memory", async () => {
  await takeMain(MAY, 2 * 8640);
  await takeMeter(meterLog(MAY, 2 * 1440, (minute) => minute >= 600 && minute < 700));
  await runDueJobs(database);

  const { loggers } = await sampledLoggers(database.sql, siteId);
  expect(loggers.map(({ name, channels }) => [name, channels])).toEqual([
    ["main", ["loadL1W", "loadL2W"]],
    ["meter", ["gridW"]],
  ]);
  const month = await monthResults(database, siteId, "2026-05");
  const site = checkedSite({ ...SMALL_SITE, name: "same" });
  const main = seriesOf(
    smallRows({ fromMs: MAY, samples: 2 * 8640 }).map((row) => {
      const [time, l1, l2, source] = row.split(",");
      return {
        s: (Date.parse(time) - MAY) / 1000,
        loadL1W: Number(l1),
        loadL2W: l2 === "" ? Number.NaN : Number(l2),
        source: source as "inverter" | "utility",
        fault: 0,
      };
    }),
    MAY,
  );
  const meter = seriesOf(
    Array.from({ length: 2 * 1440 }, (_, minute) => minute)
      .filter((minute) => minute < 600 || minute >= 700)
      .map((minute) => ({ s: minute * 60 + 10, gridW: (minute * 60 + 10) % 3600 >= 3000 ? 1500 : 0 })),
    MAY,
  );
  const review = createReview({
    zone: site.timezone,
    ratings: site.ratings,
    settings: site.settings,
    channels: ["loadL1W", "loadL2W", "gridW"] satisfies NumericChannel[],
    hasSource: true,
    hasFault: true,
    loggers: loggers.map(({ name, channels, hasSource, hasFault }) => ({
      name,
      channels,
      hasSource,
      hasFault,
    })),
  });
  review.push(main, 0);
  review.push(meter, 1);
  const { result } = review.finish([]);
  expect(month?.days.map((day) => [day.date, day.heldS, day.sharesHeldS, day.shares])).toEqual(
    result.days.map((day) => [day.date, day.heldS, day.sharesHeldS, day.shares]),
  );
  expect(result.days.length).toBe(3);
  expect(result.days[0].shares.gridToLoadWh).toBeGreaterThan(0);
  expect(month?.transfers.map((one) => one.atMs)).toEqual(result.transfers.map((one) => one.atMs));
});

test("a day appended to either logger gives what all of it at once gives, and goes on from a midnight", async () => {
  await takeMain(MAY, 5 * 8640);
  await takeMeter(meterLog(MAY, 5 * 1440));
  await runDueJobs(database);
  await takeMain(MAY + 5 * DAY_MS, 8640);
  const main = await recompute(database, siteId);
  expect(main.samples).toBeLessThan(3 * (8640 + 1440));
  await takeMeter(meterLog(MAY + 5 * DAY_MS, 1440));
  const meter = await recompute(database, siteId);
  expect(meter.samples).toBeLessThan(3 * (8640 + 1440));
  const appended = await results(siteId);

  await recompute(database, siteId, { whole: true });
  expect(await results(siteId)).toBe(appended);

  const other = (await addSite(database, { ...SITE, name: `Site ${++sites}` })).siteId;
  await takeMeter(meterLog(MAY, 6 * 1440), other);
  await takeMain(MAY, 6 * 8640, other);
  await runDueJobs(database);
  // The logger that came first is not the first in the site's order.
  expect(await results(other)).toBe(appended);
});

test("a change in the middle stops where nothing differs any more", async () => {
  await takeMain(MAY, 12 * 8640);
  await takeMeter(meterLog(MAY, 12 * 1440, (minute) => minute >= 3000 && minute < 3030));
  await runDueJobs(database);
  await takeMeter(meterLog(MAY + 3000 * 60_000, 30));
  const { samples } = await recompute(database, siteId);
  expect(samples).toBeLessThan(5 * (8640 + 1440));
  const patched = await results(siteId);
  await recompute(database, siteId, { whole: true });
  expect(await results(siteId)).toBe(patched);
});

test("a long gap of one logger, and its end, are passed by reading it ahead, with the same results", async () => {
  await takeMain(MAY, 20 * 8640);
  // The meter has gone for sixteen days: more of the other's samples than may wait.
  await takeMeter(meterLog(MAY, 1440 + 300));
  await runDueJobs(database);
  const before = await results(siteId);
  expect(before).toContain("2026-05-22");
  await takeMeter(meterLog(MAY + 18 * DAY_MS, 1440));
  await recompute(database, siteId);
  const after = await results(siteId);
  expect(after).not.toBe(before);
  await recompute(database, siteId, { whole: true });
  expect(await results(siteId)).toBe(after);
});

test("a channel of two loggers counts from the first in the site's order, with a note, and another order is computed anew", async () => {
  await takeMain(MAY, 8640);
  await takeMeter(meterLog(MAY, 1440), siteId, "meter");
  await takeMeter(
    textLog(
      `Time,Grid W\n${new Date(MAY).toISOString()},9\n${new Date(MAY + 60_000).toISOString()},9\n`,
      "b.csv",
    ),
    siteId,
    "second",
  );
  await runDueJobs(database);
  const notes = () => database.sql<{ code: string; figures: unknown }[]>`
    select code, figures from result_note where site_id = ${siteId} and code = 'channel-of-two-loggers'`;
  expect([...(await notes())]).toEqual([
    { code: "channel-of-two-loggers", figures: { channel: "gridW", logger: "second", by: "meter" } },
  ]);
  const before = await results(siteId);
  await changeSite(database, siteId, {
    ...SMALL_SITE,
    name: `Site ${sites}`,
    loggers: [{ name: "main" }, { name: "second" }, { name: "meter" }],
  });
  await runDueJobs(database);
  expect([...(await notes())]).toEqual([
    { code: "channel-of-two-loggers", figures: { channel: "gridW", logger: "meter", by: "second" } },
  ]);
  expect(await results(siteId)).not.toBe(before);
});

test("a logger that the site limits gives those channels only", async () => {
  const { siteId: limited } = await addSite(database, {
    ...SMALL_SITE,
    name: `Site ${++sites}`,
    loggers: [{ name: "main", channels: ["loadL1W", "loadL2W"] }],
  });
  await takeMain(MAY, 8640, limited);
  await runDueJobs(database);
  const { loggers } = await sampledLoggers(database.sql, limited);
  expect(loggers).toMatchObject([{ channels: ["loadL1W", "loadL2W"], hasSource: false, hasFault: false }]);
  const [{ transfers }] = await database.sql<{ transfers: number }[]>`
    select count(*)::int as transfers from transfer where site_id = ${limited}`;
  expect(transfers).toBe(0);
});

test("samples around a transfer come of all loggers, each channel as its own logger holds it", async () => {
  await takeMain(MAY, 8640);
  await takeMeter(meterLog(MAY, 1440, (minute) => minute >= 45 && minute < 58));
  const fromMs = MAY + 40 * 60_000;
  const stretch = await samplesBetween(database, siteId, fromMs, fromMs + 20 * 60_000, 10_000);
  const { timesMs, channels, sources } = stretch!.series;
  expect(timesMs.length).toBe(20 * 6);
  expect(stretch).toMatchObject({ nominalMs: 10_000, cut: false });
  const gridAt = (s: number) => channels.gridW![timesMs.indexOf(MAY + s * 1000)];
  // Held from before the stretch; ended a minute after the meter's last sample; there again.
  expect([gridAt(2400), gridAt(2650 + 50), gridAt(2650 + 60), gridAt(3490)]).toEqual([
    0,
    0,
    Number.NaN,
    1500,
  ]);
  expect(sources![timesMs.indexOf(MAY + 3000_000)]).toBe(SOURCE_CODE.utility);
  const cut = await samplesBetween(database, siteId, fromMs, fromMs + 20 * 60_000, 7);
  expect(cut).toMatchObject({ cut: true, series: { timesMs: timesMs.slice(0, 7) } });
  const none = await samplesBetween(database, siteId, 0, 1, 7);
  expect(none).toMatchObject({ cut: false, series: { timesMs: new Float64Array(0) } });
});

test("a logger's samples are all kept and exported, whether they count or not", async () => {
  await takeMeter(meterLog(MAY, 60));
  await takeMeter(meterLog(MAY, 30), siteId, "second");
  await runDueJobs(database);
  const { loggers, stored } = await sampledLoggers(database.sql, siteId);
  expect(loggers.map((logger) => logger.name)).toEqual(["meter"]);
  expect(stored.map(({ name, channels, samples }) => [name, channels, samples])).toEqual([
    ["meter", ["gridW"], 60],
    ["second", ["gridW"], 30],
  ]);
  expect(await sampledLogger(database.sql, siteId, "second")).toMatchObject({ name: "second", samples: 30 });
  expect(await sampledLogger(database.sql, siteId)).toMatchObject({ name: "meter" });
  expect(await sampledLogger(database.sql, siteId, "main")).toBeNull();
});
