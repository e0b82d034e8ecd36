import { deserialize, serialize } from "node:v8";
import { afterAll, beforeAll, expect, test } from "vitest";
import { daySumsOf } from "../../db/queries/day-sums-of";
import { legsResults } from "../../db/queries/legs-results";
import { listSites } from "../../db/queries/list-sites";
import { localMonth, neighbourMonth } from "../../db/queries/local-month";
import { logsOf } from "../../db/queries/logs-of";
import { minutesBetween } from "../../db/queries/minutes-between";
import { monthResults } from "../../db/queries/month-results";
import { monthsOf } from "../../db/queries/months-of";
import { samplesBetween } from "../../db/queries/samples-between";
import { siteByName } from "../../db/queries/site-by-name";
import { siteBySlug } from "../../db/queries/site-by-slug";
import { transferAt } from "../../db/queries/transfer-at";
import { transfersOf } from "../../db/queries/transfers-of";
import { sampleColumn } from "../../db/samples/sample-columns";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { legFigures } from "../../src/analysis/leg-figures";
import { NUMERIC_CHANNELS } from "../../src/analysis/series";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// Over the end of a month at the site: 1 June begins at 06:00 UTC there.
const FROM = Date.UTC(2026, 4, 31, 12);
const SAMPLES = 2 * 8640;

let database: TestDatabase;
let siteId: number;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
  await importLog(database, {
    siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: FROM, samples: SAMPLES })),
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 6, 1),
  });
});
afterAll(() => database.drop());

test("the table of samples has a column for each channel, in the order of the channels", async () => {
  const columns = await database.sql<{ name: string; type: string }[]>`
    select attname as name, format_type(atttypid, atttypmod) as type from pg_attribute
    where attrelid = 'sample'::regclass and attnum > 0 order by attnum`;
  expect(columns.filter((column) => column.type === "real").map((column) => column.name)).toEqual(
    NUMERIC_CHANNELS.map(sampleColumn),
  );
});

test("no foreign key crosses sites, and every key starts with the site", async () => {
  const keys = await database.sql<{ table: string; type: string; columns: string[]; to: string[] | null }[]>`
    select conrelid::regclass::text as table, contype as type,
      (select array_agg(attname::text order by place) from unnest(conkey) with ordinality as k(num, place)
        join pg_attribute on attrelid = conrelid and attnum = num) as columns,
      (select array_agg(attname::text order by place) from unnest(confkey) with ordinality as k(num, place)
        join pg_attribute on attrelid = confrelid and attnum = num) as to
    from pg_constraint where contype in ('p', 'f') and connamespace = 'public'::regnamespace`;
  expect(keys.filter((key) => key.type === "f").length).toBeGreaterThan(10);
  for (const key of keys) {
    expect(key.columns[0], key.table).toBe("site_id");
    if (key.type === "f") expect(key.to?.[0], key.table).toBe("site_id");
  }
});

test("a site is found by its slug and by its name, with what its site.json leaves out", async () => {
  expect(await siteBySlug(database, "alder-creek-pottery")).toMatchObject({
    siteId,
    name: "Alder Creek Pottery",
    site: { ratings: [{ legLimitW: 4000, totalLimitW: 8000, legNominalV: 120 }] },
  });
  expect((await siteByName(database, "Alder Creek Pottery"))?.siteId).toBe(siteId);
  expect((await siteByName(database, "alder-creek-pottery"))?.siteId).toBe(siteId);
  expect(await siteBySlug(database, "elsewhere")).toBeNull();
});

test("a site that lacks a rating is refused with what, where and how to mend it; a taken name is told", async () => {
  await expect(
    addSite(database, { version: 1, name: "Barn", timezone: "America/Denver" }),
  ).rejects.toMatchObject({
    code: "bad-input",
    message: expect.stringMatching(/ratings is missing.*legLimitW/s),
  });
  await expect(addSite(database, SMALL_SITE)).rejects.toMatchObject({ code: "conflict" });
});

test("months are the site's: what happens before local midnight belongs to the old one", async () => {
  expect(localMonth("America/Denver", "2026-06").fromMs).toBe(Date.UTC(2026, 5, 1, 6));
  expect(neighbourMonth("2026-01", -1)).toBe("2025-12");
  expect(neighbourMonth("2026-12", 1)).toBe("2027-01");
  expect(await monthsOf(database, siteId)).toEqual(["2026-05", "2026-06"]);
  const may = (await monthResults(database, siteId, "2026-05"))!;
  const june = (await monthResults(database, siteId, "2026-06"))!;
  expect(may.days.map((day) => day.date)).toEqual(["2026-05-31"]);
  expect(june.days.map((day) => day.date)).toEqual(["2026-06-01", "2026-06-02"]);
  expect(may.hours.length + june.hours.length).toBe(48);
  const all = await transfersOf(database, siteId);
  expect([...may.transfers, ...june.transfers]).toEqual(all);
  expect(Math.max(...may.transfers.map((transfer) => transfer.atMs))).toBeLessThan(Date.UTC(2026, 5, 1, 6));
  expect(june.total!.loadWh).toBeCloseTo(june.days[0].shares.loadWh + june.days[1].shares.loadWh, 9);
});

test("transfers are narrowed by cause, certainty, quantity and time, and one knows its neighbours", async () => {
  const all = await transfersOf(database, siteId);
  expect(all.length).toBeGreaterThan(40);
  const causes = new Set(all.map((transfer) => transfer.cause));
  for (const cause of causes) {
    const some = await transfersOf(database, siteId, { cause });
    expect(some).toEqual(all.filter((transfer) => transfer.cause === cause));
  }
  expect(await transfersOf(database, siteId, { certainty: "seen", limiting: "L1" })).toEqual(
    all.filter((transfer) => transfer.certainty === "seen" && transfer.limiting === "L1"),
  );
  expect(await transfersOf(database, siteId, { fromMs: all[3].atMs, toMs: all[7].atMs })).toEqual(
    all.slice(3, 7),
  );
  for (const tag of ["one-leg", "stacked-starts", "within-allowance", "repeat"] as const) {
    const tagged = all.filter((transfer) => transfer.tags?.includes(tag));
    expect(await transfersOf(database, siteId, { tag }), tag).toEqual(tagged);
  }
  const avoidable = all.filter((transfer) => transfer.avoidable === true);
  expect(avoidable.length).toBeGreaterThan(0);
  expect(await transfersOf(database, siteId, { avoidable: true })).toEqual(avoidable);
  expect(await transferAt(database, siteId, all[5].atMs)).toEqual({
    transfer: all[5],
    beforeMs: all[4].atMs,
    afterMs: all[6].atMs,
  });
  expect(await transferAt(database, siteId, all[0].atMs)).toMatchObject({ beforeMs: null });
  expect(await transferAt(database, siteId, all[5].atMs + 1)).toBeNull();
});

test("samples of a stretch end before its end, and say where they were cut", async () => {
  const stretch = (await samplesBetween(database, siteId, FROM + 60_000, FROM + 120_000, 100))!;
  expect(Array.from(stretch.series.timesMs, (ms) => (ms - FROM) / 1000)).toEqual([60, 70, 80, 90, 100, 110]);
  expect(stretch.cut).toBe(false);
  const cut = (await samplesBetween(database, siteId, FROM, FROM + 600_000, 4))!;
  expect(cut.series.timesMs).toHaveLength(4);
  expect(cut.series.channels.loadL1W).toHaveLength(4);
  expect(cut.cut).toBe(true);
  expect(await samplesBetween(database, siteId + 1000, 0, FROM, 10)).toBeNull();
});

test("a minute holds the greatest and the least of its samples", async () => {
  const minutes = (await minutesBetween(database, siteId, FROM, FROM + 3_600_000))!;
  expect(minutes.minuteMs).toHaveLength(60);
  expect(minutes.heldS.every((held) => held === 60)).toBe(true);
  const { series } = (await samplesBetween(database, siteId, FROM, FROM + 60_000, 100))!;
  expect(minutes.channels.loadL1W!.max[0]).toBe(Math.max(...series.channels.loadL1W!));
  expect(minutes.channels.loadL1W!.min[0]).toBe(Math.min(...series.channels.loadL1W!));
  expect(minutes.onS!.reduce((sum, on) => sum + on[2], 0)).toBe(600);
});

test("the list of sites tells of the latest month and of the one before", async () => {
  const [card] = await listSites(database);
  const june = (await monthResults(database, siteId, "2026-06"))!;
  const may = (await monthResults(database, siteId, "2026-05"))!;
  expect(card).toMatchObject({
    slug: "alder-creek-pottery",
    firstMs: FROM,
    lastMs: FROM + (SAMPLES - 1) * 10_000,
    latestMonth: "2026-06",
    transfersThisMonth: june.transfers.length,
    transfersMonthBefore: may.transfers.length,
    peak: { loading: Math.max(...june.days.map((day) => day.peakLoading!)) },
    job: null,
  });
  // From local midnight of 1 June to 12:00 UTC of 2 June, which is 06:00 there, of two days.
  expect(card.coverage).toBeCloseTo(30 / 48, 9);
});

test("a log's row tells what became of it", async () => {
  const [log] = await logsOf(database, siteId);
  expect(log).toMatchObject({
    loggerName: "main",
    state: "imported",
    verdict: { counts: { taken: SAMPLES } },
  });
  expect(log.compressedBytes).toBeGreaterThan(0);
  expect(log.compressedBytes).toBeLessThan(log.sizeBytes);
});

test("the legs of a month, of some days and of the whole log are those of their days", async () => {
  const whole = await legsResults(database, siteId, null);
  expect(whole?.range).toEqual({ firstDate: "2026-05-31", lastDate: "2026-06-02" });
  expect(whole?.legs).toEqual(legFigures(whole?.days ?? []));
  // A row in so many has no L2.
  const rows = Array.from({ length: SAMPLES }, (_, i) => FROM / 1000 + i * 10);
  const heldS = rows.filter((s) => s % 137 !== 0).length * 10;
  expect(whole?.legs.density?.heldS).toBe(heldS);
  const may = await legsResults(database, siteId, { firstDate: "2026-05-01", lastDate: "2026-05-31" });
  const june = await legsResults(database, siteId, { firstDate: "2026-06-01", lastDate: "2026-06-02" });
  expect(may?.days.map((day) => day.date)).toEqual(["2026-05-31"]);
  expect((may?.legs.density?.heldS ?? 0) + (june?.legs.density?.heldS ?? 0)).toBe(heldS);
  expect(may?.toMs).toBe(june?.fromMs);
  expect(may?.toMs).toBe(Date.UTC(2026, 5, 1, 6));
  const none = await legsResults(database, siteId, { firstDate: "2025-01-01", lastDate: "2025-01-31" });
  expect(none?.days).toEqual([]);
  expect(none?.legs.density).toBeNull();
  expect(await legsResults(database, siteId + 1000, null)).toBeNull();
});

test("a day that an earlier version stored has the figures that version had, and none of the legs' new ones", async () => {
  const [{ sums }] = await database.sql<{ sums: Buffer }[]>`
    select sums from day_result where site_id = ${siteId} and date = '2026-06-01'`;
  const { legs: _, ...before } = deserialize(sums);
  const { neutral: __, ...imbalance } = before.imbalance;
  const { legHours: ___, ...demand } = before.demand;
  const old = daySumsOf(serialize({ ...before, imbalance, demand }));
  const figures = legFigures([{ sums: old }]);
  expect(figures).toMatchObject({ density: null, neutral: null, meanL1W: null });
  expect(old.imbalance.maxNeutralA).toBe(before.imbalance.maxNeutralA);
  expect(old.load).toEqual(before.load);
});
