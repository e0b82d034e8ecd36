import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { dayResults } from "../../db/queries/day-results";
import { minutesBetween } from "../../db/queries/minutes-between";
import { minutesOfSite } from "../../db/queries/minutes-of-site";
import { monthResults } from "../../db/queries/month-results";
import { nearLimitsOver } from "../../db/queries/near-limits-over";
import { peaksOfDay } from "../../db/queries/peaks-of-day";
import { samplesBetween } from "../../db/queries/samples-between";
import { stretchOfSite } from "../../db/queries/stretch-of-site";
import { yearOfSite } from "../../db/queries/year-of-site";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { DEFAULT_SETTINGS } from "../../src/analysis/settings";
import type { ColumnMap } from "../../src/site/column-map";
import { parseSite, type Site } from "../../src/site/parse-site";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// Common practice, no source: what is read back is held against the samples themselves and against other queries.

/** 14 May 2026, 00:00 in Denver. */
const FROM = Date.UTC(2026, 4, 14, 6);
const DAY = { fromMs: FROM, toMs: FROM + 86_400_000 };
const HOUR = 3_600_000;

let database: TestDatabase;
let siteId: number;
let site: Site;

beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
  const parsed = parseSite(SMALL_SITE);
  if (!parsed.ok) throw new Error("SMALL_SITE does not read");
  site = parsed.site;
  await importLog(database, {
    siteId,
    loggerName: "main",
    source: smallLog(smallRows({ fromMs: FROM - 6 * HOUR, samples: 2 * 8640 })),
    columnMap: SMALL_MAP,
    receivedAtMs: Date.UTC(2026, 6, 1),
  });
});
afterAll(() => database.drop());

const stretch = (range: { fromMs: number; toMs: number }, of = siteId) =>
  stretchOfSite(database, of, site, DEFAULT_SETTINGS, range);

test("a day's results are those of its month that lie in it, with the days on either side", async () => {
  const day = (await dayResults(database, siteId, "2026-05-14"))!;
  const month = (await monthResults(database, siteId, "2026-05"))!;
  const within = ({ atMs }: { atMs: number }) => atMs >= DAY.fromMs && atMs < DAY.toMs;
  expect(day).toMatchObject({ ...DAY, dateBefore: "2026-05-13", dateAfter: "2026-05-15", nominalS: 10 });
  expect(day.transfers.length).toBeGreaterThan(10);
  expect(day.transfers).toEqual(month.transfers.filter(within));
  expect(day.days).toEqual(month.days.filter(({ date }) => date === "2026-05-14"));
  expect(await dayResults(database, siteId, "2026-05-13")).toMatchObject({ dateBefore: null });
  expect(await dayResults(database, siteId, "2026-05-20")).toMatchObject({
    days: [],
    transfers: [],
    dateBefore: "2026-05-15",
    dateAfter: null,
  });
  expect(await dayResults(database, 999, "2026-05-14")).toBeNull();
});

test("near-limit intervals over a stretch are those of the month that have a part in it, without the pass-through", async () => {
  const { nearLimit } = (await monthResults(database, siteId, "2026-05"))!;
  const loads = nearLimit.filter(({ quantity }) => quantity !== "pass-through");
  expect(loads.length).toBeGreaterThan(3);
  const [some] = loads.slice(2);
  for (const [fromMs, toMs] of [
    [FROM, FROM + 3 * HOUR],
    [some.fromMs + 1, some.fromMs + 2],
    [some.toMs, some.toMs + 1],
    [some.fromMs - 1, some.fromMs],
  ]) {
    const found = await nearLimitsOver(database, siteId, { fromMs, toMs });
    const told = (list: readonly { quantity: string; fromMs: number; peakW: number | null }[]) =>
      list.map((one) => `${one.fromMs} ${one.quantity} ${one.peakW}`).sort((a, b) => (a < b ? -1 : 1));
    expect(told(found)).toEqual(told(loads.filter((one) => one.fromMs < toMs && one.toMs > fromMs)));
  }
  expect(await nearLimitsOver(database, 999, DAY)).toEqual([]);
});

test("a year is its days, with the transfers and dropouts that began in each", async () => {
  const year = (await yearOfSite(database, siteId, "2026"))!;
  expect(year.days.map(({ date }) => date)).toEqual(["2026-05-13", "2026-05-14", "2026-05-15"]);
  const day = (await dayResults(database, siteId, "2026-05-14"))!;
  const { sums: _, ...record } = day.days[0];
  expect(year.days[1]).toEqual({
    ...record,
    transfers: day.transfers.length,
    dropouts: day.dropouts.length,
  });
  expect(year.fromMs).toBe(Date.UTC(2026, 0, 1, 7));
  expect((await yearOfSite(database, siteId, "2025"))!.days).toEqual([]);
  expect(await yearOfSite(database, 999, "2026")).toBeNull();
});

describe("a stretch", () => {
  test("of a whole day is its minutes, with no peak of the samples lost", async () => {
    const whole = (await stretch(DAY))!;
    expect(whole.kind).toBe("minutes");
    expect(whole.timesMs).toHaveLength(1440);
    const samples = (await samplesBetween(database, siteId, DAY.fromMs, DAY.toMs, 100_000))!.series;
    const known = (values: ArrayLike<number>) => Array.from(values).filter((value) => !Number.isNaN(value));
    for (const channel of ["loadL1W", "loadL2W"] as const) {
      const { max, min } = whole.channels[channel]!;
      expect(Math.max(...known(max))).toBe(Math.max(...known(samples.channels[channel]!)));
      expect(Math.min(...known(min))).toBe(Math.min(...known(samples.channels[channel]!)));
    }
  });

  test("that is short is its samples, with the one that stands into it", async () => {
    const short = (await stretch({ fromMs: FROM + 5000, toMs: FROM + 35_000 }))!;
    expect(short.kind).toBe("samples");
    expect([...short.timesMs].map((atMs) => (atMs - FROM) / 1000)).toEqual([0, 10, 20, 30]);
    expect([...short.holdS]).toEqual([10, 10, 10, 10]);
  });

  test("has what carried the loads without a hole, in minutes and in samples alike", async () => {
    const whole = (await stretch(DAY))!.sources!;
    expect(whole[0].fromMs).toBe(DAY.fromMs);
    expect(whole.at(-1)!.toMs).toBe(DAY.toMs);
    for (const [at, run] of whole.slice(1).entries()) expect(run.fromMs).toBe(whole[at].toMs);
    const utilityMs = whole
      .filter(({ source }) => source === "utility")
      .reduce((sum, run) => sum + run.toMs - run.fromMs, 0);
    // By the rows of the log the last ten minutes of each hour are on utility.
    expect(utilityMs).toBe(24 * 600_000);
    const hour = (await stretch({ fromMs: FROM, toMs: FROM + HOUR }))!.sources!;
    expect(hour.map(({ source }) => source)).toEqual(["inverter", "utility"]);
  });

  test("where there are no samples is empty and one gap", async () => {
    const after = (await stretch({ fromMs: FROM + 10 * 24 * HOUR, toMs: FROM + 11 * 24 * HOUR }))!;
    expect(after.timesMs).toHaveLength(0);
    expect(after.sources!.map(({ source }) => source)).toEqual(["gap"]);
  });

  test("of a site without samples is none", async () => {
    const { siteId: empty } = await addSite(database, { ...SMALL_SITE, name: "Empty" });
    expect(await stretch(DAY, empty)).toBeNull();
  });
});

test("the greatest loads are told with their sample, from minutes and from samples alike", async () => {
  const whole = (await stretch(DAY))!;
  const peaks = await peaksOfDay(database, siteId, site, DEFAULT_SETTINGS, whole);
  const { timesMs, channels } = (await samplesBetween(database, siteId, DAY.fromMs, DAY.toMs, 100_000))!
    .series;
  const values = [...channels.loadL1W!];
  const greatest = Math.max(...values);
  expect(peaks.l1W).toEqual({ value: greatest, atMs: timesMs[values.indexOf(greatest)] });
  expect(peaks.socPct).toBeNull();
  const hour = { fromMs: FROM, toMs: FROM + HOUR };
  const ofSamples = await peaksOfDay(database, siteId, site, DEFAULT_SETTINGS, (await stretch(hour))!);
  const inHour = values.slice(0, 360);
  expect(ofSamples.l1W).toEqual({
    value: Math.max(...inHour),
    atMs: timesMs[inHour.indexOf(Math.max(...inHour))],
  });
});

describe("what isn't measured itself", () => {
  const MAP: ColumnMap = {
    version: 1,
    time: { column: "Time", format: "auto", zone: "site", stamps: "start" },
    channels: {
      loadL1A: { column: "L1 A", unit: "A" },
      loadL2A: { column: "L2 A", unit: "A" },
      solar1W: { column: "Sun 1", unit: "W" },
      solar2W: { column: "Sun 2", unit: "W" },
    },
    missing: [""],
  };
  let amps: number;

  beforeAll(async () => {
    ({ siteId: amps } = await addSite(database, { ...SMALL_SITE, name: "Amperes" }));
    const rows = Array.from({ length: 8640 }, (_, at) => {
      const step = at % 6;
      return `${new Date(FROM + at * 10_000).toISOString()},${step},${5 - step},${100 * step},${at === 4000 ? 900 : 50}`;
    });
    await importLog(database, {
      siteId: amps,
      loggerName: "main",
      source: textLog(`Time,L1 A,L2 A,Sun 1,Sun 2\n${rows.join("\n")}\n`, "amperes.csv"),
      columnMap: MAP,
      receivedAtMs: Date.UTC(2026, 6, 1),
    });
  });

  test("is derived sample by sample, and minutes are made of that", async () => {
    const whole = (await stretch(DAY, amps))!;
    expect(whole.kind).toBe("minutes");
    expect(whole.sources).toBeNull();
    // Six samples a minute, of 0 to 5 A at the nominal 120 V.
    expect(whole.channels.loadL1W!.mean[10]).toBeCloseTo(300, 3);
    expect(whole.channels.loadL1W!.max[10]).toBe(600);
    expect(whole.channels.loadL1W!.min[10]).toBe(0);
    expect(Math.max(...whole.channels.solarW!.max)).toBe(400 + 900);
    const short = (await stretch({ fromMs: FROM, toMs: FROM + 60_000 }, amps))!;
    expect([...short.channels.loadL2W!.mean]).toEqual([600, 480, 360, 240, 120, 0]);
  });
});

test("minutes of a site with one logger are those of the logger", async () => {
  const minutes = (await minutesOfSite(database, siteId, DAY.fromMs, DAY.fromMs + HOUR))!;
  const own = (await minutesBetween(database, siteId, DAY.fromMs, DAY.fromMs + HOUR))!;
  expect([...minutes.timesMs]).toEqual([...own.minuteMs]);
  expect([...minutes.channels.loadL1W!.max]).toEqual([...own.channels.loadL1W!.max]);
});

test("minutes of several loggers are put together, each channel by its own", async () => {
  const config = {
    ...SMALL_SITE,
    name: "Two loggers",
    loggers: [{ name: "loads" }, { name: "sun" }],
  };
  const { siteId: two } = await addSite(database, config);
  const log = (name: string, count: number, everyS: number) =>
    textLog(
      `Time,${name}\n${Array.from({ length: count }, (_, at) => `${new Date(FROM + at * everyS * 1000).toISOString()},${at}`).join("\n")}\n`,
      `${name}.csv`,
    );
  const map = (channel: "loadL1W" | "solarW", column: string): ColumnMap => ({
    ...SMALL_MAP,
    channels: { [channel]: { column, unit: "W" } },
  });
  const rest = { siteId: two, receivedAtMs: Date.UTC(2026, 6, 1) };
  await importLog(database, {
    ...rest,
    loggerName: "loads",
    source: log("load", 60, 30),
    columnMap: map("loadL1W", "load"),
  });
  await importLog(database, {
    ...rest,
    loggerName: "sun",
    source: log("sun", 20, 60),
    columnMap: map("solarW", "sun"),
  });
  const minutes = (await minutesOfSite(database, two, FROM, FROM + HOUR))!;
  expect(minutes.timesMs).toHaveLength(30);
  expect([...minutes.channels.loadL1W!.max].slice(0, 3)).toEqual([1, 3, 5]);
  expect([...minutes.channels.solarW!.max].slice(18, 21)).toEqual([18, 19, Number.NaN]);
});
