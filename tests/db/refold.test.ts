import { spawn } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import fc from "fast-check";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { jobById } from "../../db/queries/job-by-id";
import { logById } from "../../db/queries/log-by-id";
import { resultsRevision } from "../../db/queries/results-revision";
import { samplesBetween } from "../../db/queries/samples-between";
import { storedLogSource } from "../../db/queries/stored-log-source";
import { addSite } from "../../db/writes/add-site";
import { cancelJob } from "../../db/writes/cancel-job";
import { changeSite } from "../../db/writes/change-site";
import { discardLog } from "../../db/writes/discard-log";
import { enqueueRefold } from "../../db/writes/enqueue-refold";
import { importLog } from "../../db/writes/import-log";
import { SITE_LOCK } from "../../db/writes/job-lock";
import { receiveLog } from "../../db/writes/receive-log";
import { remapLog } from "../../db/writes/remap-log";
import { restoreLog } from "../../db/writes/restore-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import { reviewLogs } from "../../src/cli/review-logs";
import type { LogSource } from "../../src/ingest/log-source";
import type { ColumnMap } from "../../src/site/column-map";
import { parseSite } from "../../src/site/parse-site";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

const MAY = Date.UTC(2026, 4, 3);
const RECEIVED = Date.UTC(2026, 11, 1);
const STEP = 10_000;
const END_MAP: ColumnMap = { ...SMALL_MAP, time: { ...SMALL_MAP.time, stamps: "end" } };

let database: TestDatabase;
let siteId: number;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());
beforeEach(async () => {
  siteId = await newSite();
});

async function newSite(): Promise<number> {
  return (await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` })).siteId;
}

async function take(source: LogSource, columnMap = SMALL_MAP, site = siteId): Promise<number> {
  const outcome = await importLog(database, {
    siteId: site,
    loggerName: "main",
    source,
    columnMap,
    guessed: ["loadL1W"],
    receivedAtMs: RECEIVED,
  });
  if (outcome.kind !== "imported") throw new Error(`expected an import, got ${JSON.stringify(outcome)}`);
  return outcome.logId;
}

const rowsFrom = (first: number, samples: number, change?: (row: string, index: number) => string) =>
  smallRows({ fromMs: MAY + first * STEP, samples, change });

/** Other values for L1 in every such row. */
const otherEvery = (every: number) => (row: string, index: number) =>
  index % every === 0 ? row.replace(/,[\d.]+,/, ",1234,") : row;

/** All that a site's fold comes to, but ids, clock times and the numbers that faults have. */
async function foldOf(site: number) {
  const { sql } = database;
  const stretch = await samplesBetween(database, site, 0, Date.UTC(2100, 0, 1), 1_000_000);
  const columns = stretch?.series;
  const samples = columns && {
    ...columns,
    faults: columns.faults && Array.from(columns.faults, (fault) => stretch.faultWords[fault - 1] ?? null),
  };
  const words = await sql`
    select distinct code, meaning from fault_word where site_id = ${site} order by code, meaning`;
  const minutes = await sql`
    select minute_ms, samples, held_s, mean, min, max, on_s from rollup where site_id = ${site} order by minute_ms`;
  const [logger] = await sql`
    select nominal_ms, channels, has_source, has_fault, first_ms, last_ms, samples from logger where site_id = ${site}`;
  const logs = await sql`
    select name, sha256, column_map, verdict, guessed, first_ms, last_ms, shift_ms, first_stamps_ms, log_id
    from log where site_id = ${site} and state = 'imported' order by position`;
  const rejects = await Promise.all(
    logs.map(
      ({ log_id }) => sql`
        select line, column_no, column_name, code, text, guessed from reject
        where site_id = ${site} and log_id = ${log_id} order by ordinal`,
    ),
  );
  return JSON.parse(
    JSON.stringify({
      samples:
        samples === undefined
          ? null
          : {
              timesMs: [...samples.timesMs],
              channels: Object.entries(samples.channels).map(([name, values]) => [name, [...values]]),
              sources: samples.sources && [...samples.sources],
              faults: samples.faults,
            },
      words,
      minutes,
      logger,
      logs: logs.map((log) => without(log, "log_id")),
      rejects,
    }),
  );
}

function without(row: object, ...names: string[]): Record<string, unknown> {
  return Object.fromEntries(Object.entries(row).filter(([name]) => !names.includes(name)));
}

/** The site's active logs, imported in their order into a new site. */
async function freshImport(site = siteId) {
  const fresh = await newSite();
  const logs = await database.sql<{ logId: number; name: string; sizeBytes: number; map: ColumnMap }[]>`
    select log_id as "logId", name, size_bytes as "sizeBytes", column_map as map from log
    where site_id = ${site} and state = 'imported' order by position`;
  for (const log of logs) await take(storedLogSource(database, site, log), log.map, fresh);
  return fresh;
}

async function expectAsFresh(): Promise<void> {
  const found = await foldOf(siteId);
  const fresh = await foldOf(await freshImport());
  // A site without a log has no logger at all, or one without anything.
  fresh.logger ??= found.logger;
  expect(found).toEqual(fresh);
}

const counts = async (logId: number) =>
  ((await logById(database, siteId, logId))!.verdict as { counts: Record<string, number> }).counts;
const changed = async () => {
  const [site] = await database.sql`
    select changed_from_ms as "fromMs", changed_to_ms as "toMs" from site where site_id = ${siteId}`;
  return site;
};
const settled = () =>
  database.sql`update site set changed_from_ms = null, changed_to_ms = null where site_id = ${siteId}`;

describe("withdrawing", () => {
  test("a withdrawn log's samples are gone, and the log itself stays", async () => {
    const log = smallLog(rowsFrom(1000, 500), "second.csv");
    const first = await take(smallLog(rowsFrom(0, 1000)));
    const only = await foldOf(siteId);
    const second = await take(log);
    await settled();
    const outcome = await withdrawLog(database, siteId, second);
    expect(outcome).toMatchObject({ kind: "refolded", logId: second, name: "second.csv", logsRead: 0 });
    expect(await foldOf(siteId)).toEqual(only);
    expect(await changed()).toEqual({ fromMs: MAY + 1000 * STEP, toMs: MAY + 1499 * STEP });
    const row = (await logById(database, siteId, second))!;
    expect(row).toMatchObject({ state: "withdrawn", columnMap: SMALL_MAP, name: "second.csv" });
    const parts: Uint8Array[] = [];
    for await (const bytes of storedLogSource(database, siteId, row).open()) parts.push(bytes);
    expect(Buffer.concat(parts).toString()).toBe(log.text);
    expect((await logById(database, siteId, first))!.state).toBe("imported");
  });

  test("samples that it had hidden come back from the log that has them, and that log's counts with them", async () => {
    await take(smallLog(rowsFrom(0, 400, otherEvery(1)), "wrong.csv"));
    const wrong = (await logsOfSite())[0].logId;
    const right = await take(smallLog(rowsFrom(200, 400), "right.csv"));
    expect(await counts(right)).toMatchObject({ taken: 200, conflicts: 200 });
    await withdrawLog(database, siteId, wrong);
    expect(await counts(right)).toMatchObject({ taken: 400, conflicts: 0, duplicates: 0 });
    const [{ rejects }] = await database.sql`
      select count(*)::int as rejects from reject where site_id = ${siteId} and log_id = ${right}`;
    expect(rejects).toBe(0);
    await expectAsFresh();
  });

  test("logs that don't overlap it, directly or through others, are not read", async () => {
    const a = await take(smallLog(rowsFrom(0, 100), "a.csv"));
    await take(smallLog(rowsFrom(90, 100), "b.csv"));
    await take(smallLog(rowsFrom(180, 100), "c.csv"));
    const apart = await take(smallLog(rowsFrom(300, 1500), "apart.csv"));
    await database.sql`delete from log_chunk where site_id = ${siteId} and log_id = ${apart}`;
    expect(await withdrawLog(database, siteId, a)).toMatchObject({ kind: "refolded", logsRead: 2 });
    expect(await counts(apart)).toMatchObject({ taken: 1500 });
  });

  test("what changes is no more than its own stretch, however far the logs that are read again reach", async () => {
    await take(smallLog(rowsFrom(0, 1000), "a.csv"));
    const middle = await take(smallLog(rowsFrom(990, 50, otherEvery(1)), "b.csv"));
    await take(smallLog(rowsFrom(1030, 1000), "c.csv"));
    await settled();
    expect(await withdrawLog(database, siteId, middle)).toMatchObject({ kind: "refolded", logsRead: 2 });
    expect(await changed()).toEqual({ fromMs: MAY + 990 * STEP, toMs: MAY + 1039 * STEP });
    await expectAsFresh();
  });

  test("the last log withdrawn leaves a logger with nothing, and results of nothing", async () => {
    const only = await take(smallLog(rowsFrom(0, 500)));
    await withdrawLog(database, siteId, only);
    await runDueJobs(database, { siteId });
    expect(await foldOf(siteId)).toMatchObject({
      samples: null,
      words: [],
      minutes: [],
      logs: [],
      logger: {
        nominal_ms: null,
        channels: [],
        has_source: false,
        samples: 0,
        first_ms: null,
        last_ms: null,
      },
    });
    expect(await database.sql`select 1 from day_result where site_id = ${siteId}`).toHaveLength(0);
    const { samplesRevision, resultsRevision: computed } = (await resultsRevision(database, siteId))!;
    expect(computed).toBe(samplesRevision);
  });

  test("a second time changes nothing, and a log that was never imported is refused", async () => {
    const log = await take(smallLog(rowsFrom(0, 50)));
    await withdrawLog(database, siteId, log);
    const { samplesRevision } = (await resultsRevision(database, siteId))!;
    expect(await withdrawLog(database, siteId, log)).toMatchObject({ kind: "unchanged" });
    expect((await resultsRevision(database, siteId))!.samplesRevision).toBe(samplesRevision);
    const other = smallLog(rowsFrom(100, 50));
    const { logId } = await receiveLog(database, {
      siteId,
      loggerName: "main",
      name: "new.csv",
      body: other.open(),
    });
    await expect(withdrawLog(database, siteId, logId)).rejects.toMatchObject({ code: "conflict" });
    await expect(restoreLog(database, siteId, logId)).rejects.toMatchObject({ code: "conflict" });
    await expect(remapLog(database, siteId, logId, SMALL_MAP)).rejects.toMatchObject({ code: "conflict" });
    await expect(withdrawLog(database, siteId, 999_999)).rejects.toMatchObject({ code: "not-found" });
  });

  test("a withdrawn log can't be discarded", async () => {
    const log = await take(smallLog(rowsFrom(0, 50)));
    await withdrawLog(database, siteId, log);
    expect(await discardLog(database, siteId, log)).toBe(false);
    expect(await restoreLog(database, siteId, log)).toMatchObject({ kind: "refolded" });
  });
});

describe("restoring", () => {
  test("undone and done again, everything is as it was, results included", async () => {
    const first = await take(smallLog(rowsFrom(0, 3000), "a.csv"));
    await take(smallLog(rowsFrom(2500, 3000, otherEvery(7)), "b.csv"));
    await runDueJobs(database, { siteId });
    const results = async () =>
      JSON.stringify(
        await database.sql`
        select at_ms, cause, on_utility_s, evidence from transfer where site_id = ${siteId} order by at_ms`,
      );
    const before = await foldOf(siteId);
    const transfers = await results();
    expect(JSON.parse(transfers).length).toBeGreaterThan(5);
    await withdrawLog(database, siteId, first);
    await runDueJobs(database, { siteId });
    expect(await results()).not.toBe(transfers);
    const outcome = await restoreLog(database, siteId, first);
    expect(outcome).toMatchObject({ kind: "refolded", logsRead: 2, verdict: { counts: { taken: 3000 } } });
    await runDueJobs(database, { siteId });
    expect(await foldOf(siteId)).toEqual(before);
    expect(await results()).toBe(transfers);
  });

  test("content that was imported again meanwhile is not put in twice", async () => {
    const log = smallLog(rowsFrom(0, 100), "twice.csv");
    const first = await take(log);
    await withdrawLog(database, siteId, first);
    const second = await take(log);
    await expect(restoreLog(database, siteId, first)).rejects.toMatchObject({
      code: "conflict",
      message: expect.stringContaining(`as log ${second} "twice.csv"`),
    });
    expect((await logById(database, siteId, first))!.state).toBe("withdrawn");
    await withdrawLog(database, siteId, second);
    expect(await restoreLog(database, siteId, first)).toMatchObject({ kind: "refolded" });
    await expectAsFresh();
  });
});

describe("another map", () => {
  const swapped: ColumnMap = {
    ...SMALL_MAP,
    channels: {
      ...SMALL_MAP.channels,
      loadL1W: { column: "L2 W", unit: "W" },
      loadL2W: { column: "L1 W", unit: "W" },
    },
  };

  test("the log is read with it at its old position", async () => {
    const first = await take(smallLog(rowsFrom(0, 300), "a.csv"));
    await take(smallLog(rowsFrom(200, 300), "b.csv"));
    const outcome = await remapLog(database, siteId, first, swapped, { evidence: null, guessed: ["time"] });
    expect(outcome).toMatchObject({ kind: "refolded", logsRead: 2 });
    const row = (await logById(database, siteId, first))!;
    expect(row.columnMap).toEqual(swapped);
    const logs = await logsOfSite();
    expect(logs.map(({ name }) => name)).toEqual(["a.csv", "b.csv"]);
    expect(await counts(logs[1].logId)).toMatchObject({ taken: 200, conflicts: 100 });
    const fold = await foldOf(siteId);
    expect(fold.logs[0].guessed).toEqual(["time"]);
    const fresh = await foldOf(await freshImport());
    fresh.logs[0].guessed = ["time"];
    expect(fold).toEqual(fresh);
  });

  test("one with fewer columns takes their channels out of the logger", async () => {
    const { source: _, faultCode: __, ...channels } = SMALL_MAP.channels;
    const log = await take(smallLog(rowsFrom(0, 300)));
    await remapLog(database, siteId, log, { ...SMALL_MAP, channels }, { guessed: ["loadL1W"] });
    const { logger, words } = await foldOf(siteId);
    expect(logger).toMatchObject({ channels: ["loadL1W", "loadL2W"], has_source: false, has_fault: false });
    expect(words).toEqual([]);
    expect(await changed()).toEqual({ fromMs: Number.MIN_SAFE_INTEGER, toMs: Number.MAX_SAFE_INTEGER });
    await expectAsFresh();
  });

  test("one by which nothing can be taken is refused with the reason, and changes nothing", async () => {
    const log = await take(smallLog(rowsFrom(0, 300)));
    const before = await foldOf(siteId);
    const revision = await resultsRevision(database, siteId);
    const noColumn = {
      ...SMALL_MAP,
      channels: { loadL1W: { column: "Leg A", unit: "W" } },
    } satisfies ColumnMap;
    const wrongTime = { ...SMALL_MAP, time: { ...SMALL_MAP.time, format: "dd.MM.yyyy HH:mm" } };
    for (const [map, code] of [
      [noColumn, expect.any(String)],
      [wrongTime, "file.nothing-taken"],
    ] as const) {
      const outcome = await remapLog(database, siteId, log, map);
      expect(outcome).toMatchObject({ kind: "refused", verdict: { refused: true, problem: { code } } });
      expect(await foldOf(siteId)).toEqual(before);
      expect(await resultsRevision(database, siteId)).toEqual(revision);
    }
  });

  test("end stamps in place of start stamps move the log, into others if need be", async () => {
    await take(smallLog(rowsFrom(0, 100), "a.csv"));
    const second = await take(smallLog(rowsFrom(100, 100), "b.csv"));
    await remapLog(database, siteId, second, END_MAP, { guessed: ["loadL1W"] });
    expect(await counts(second)).toMatchObject({ taken: 99, conflicts: 1 });
    await expectAsFresh();
  });
});

describe("the interval by which end stamps are moved", () => {
  const half = (first: number, samples: number) =>
    smallRows({ fromMs: MAY + first * STEP, samples, intervalS: 20 });

  test("is that of the whole fold: logs are read again where an import or a withdrawal changes it", async () => {
    const slow = await take(smallLog(half(1000, 200), "slow.csv"), END_MAP);
    const shift = async (logId: number) => {
      const [row] = await database.sql`
        select shift_ms as "shiftMs", first_ms as "firstMs" from log where site_id = ${siteId} and log_id = ${logId}`;
      return row;
    };
    expect(await shift(slow)).toEqual({ shiftMs: 20_000, firstMs: MAY + 1000 * STEP - 20_000 });
    const fast = await take(smallLog(rowsFrom(0, 900), "fast.csv"), END_MAP);
    expect(await shift(fast)).toEqual({ shiftMs: 10_000, firstMs: MAY - 10_000 });
    expect(await shift(slow)).toEqual({ shiftMs: 10_000, firstMs: MAY + 1000 * STEP - 10_000 });
    await expectAsFresh();
    await withdrawLog(database, siteId, fast);
    expect(await shift(slow)).toEqual({ shiftMs: 20_000, firstMs: MAY + 1000 * STEP - 20_000 });
    expect(await changed()).toEqual({ fromMs: Number.MIN_SAFE_INTEGER, toMs: Number.MAX_SAFE_INTEGER });
    await expectAsFresh();
    await restoreLog(database, siteId, fast);
    expect((await shift(slow)).shiftMs).toBe(10_000);
    await expectAsFresh();
  });

  test("of an even number of differences may end on half a millisecond: times stay whole", async () => {
    const at = (ms: number) => new Date(MAY + ms).toISOString();
    await take(smallLog([0, 1000, 2001].map((ms) => `${at(ms)},100,100,inverter,0`)), END_MAP);
    const { logger } = await foldOf(siteId);
    expect(logger).toMatchObject({ nominal_ms: 1000.5, first_ms: MAY - 1001 });
  });
});

describe("around it", () => {
  test("where the interval changes, minutes are those of the same rows as one log, however they came", async () => {
    const fast = rowsFrom(0, 300);
    const slow = smallRows({ fromMs: MAY + 300 * STEP, samples: 240, intervalS: 60 });
    const minutes = async (site: number) => (await foldOf(site)).minutes;
    const whole = async (...rows: string[]) => {
      const site = await newSite();
      await take(smallLog(rows, "whole.csv"), SMALL_MAP, site);
      return minutes(site);
    };
    await take(smallLog(fast, "a.csv"));
    // A change of interval shows only after a hundred differences: none of these has as many.
    const parts: number[] = [];
    for (let from = 0; from < 240; from += 60) {
      parts.push(await take(smallLog(slow.slice(from, from + 60), `${from}.csv`)));
    }
    const all = await whole(...fast, ...slow);
    expect(await minutes(siteId)).toEqual(all);
    for (const part of parts) await withdrawLog(database, siteId, part);
    expect(await minutes(siteId)).toEqual(await whole(...fast));
    for (const part of [...parts].reverse()) await restoreLog(database, siteId, part);
    expect(await minutes(siteId)).toEqual(all);
    await withdrawLog(database, siteId, parts[1]);
    expect(await minutes(siteId)).toEqual(await whole(...fast, ...slow.slice(0, 60), ...slow.slice(120)));
  });

  test("another logger of the site is left alone", async () => {
    siteId = (
      await addSite(database, {
        ...SMALL_SITE,
        name: `Site ${++sites}`,
        loggers: [{ name: "main" }, { name: "meter" }],
      })
    ).siteId;
    const log = await take(smallLog(rowsFrom(0, 200)));
    await importLog(database, {
      siteId,
      loggerName: "meter",
      source: smallLog(rowsFrom(0, 300, otherEvery(1)), "meter.csv"),
      columnMap: END_MAP,
      receivedAtMs: RECEIVED,
    });
    const meter = () => database.sql`
      select s.at_ms, s.load_l1_w, r.held_s from sample s join logger l using (site_id, logger_id)
      left join rollup r on r.site_id = s.site_id and r.logger_id = s.logger_id and r.minute_ms = s.at_ms
      where s.site_id = ${siteId} and l.name = 'meter' order by s.at_ms`;
    const before = await meter();
    expect(before).toHaveLength(300);
    await withdrawLog(database, siteId, log);
    expect(await meter()).toEqual(before);
    await restoreLog(database, siteId, log);
    expect(await meter()).toEqual(before);
  });

  test("where another log that has to be read can't be any more, it is named and nothing is changed", async () => {
    const log = await take(smallLog(rowsFrom(0, 200), "a.csv"));
    const broken = await take(smallLog(rowsFrom(100, 200), "b.csv"));
    const before = await foldOf(siteId);
    const other = gzipSync("Hour,Load\n1,2\n");
    await database.sql`update log_chunk set bytes = ${other} where site_id = ${siteId} and log_id = ${broken}`;
    await expect(withdrawLog(database, siteId, log)).rejects.toMatchObject({
      code: "conflict",
      message: expect.stringMatching(/^Nothing was changed: "b\.csv" has to be read again/),
    });
    expect(await foldOf(siteId)).toEqual(before);
    expect((await logById(database, siteId, log))!.state).toBe("imported");
  });

  test("a site whose zone is changed has its logs that are on its clock read again", async () => {
    const local = (first: number, samples: number) =>
      rowsFrom(first, samples).map((row) => row.replace(/\.\d+Z/, "").replace("T", " "));
    const onClock = await take(smallLog(local(0, 300), "clock.csv"));
    await take(smallLog(rowsFrom(3000, 300), "utc.csv"));
    const firstMs = async () => (await logById(database, siteId, onClock))!.firstMs;
    expect(await firstMs()).toBe(MAY + 6 * 3_600_000);
    const config = { ...SMALL_SITE, name: `Site ${sites}`, timezone: "America/Chicago" };
    await changeSite(database, siteId, config);
    await runDueJobs(database, { siteId });
    expect(await firstMs()).toBe(MAY + 5 * 3_600_000);
    const [{ first, samples }] = await database.sql`
      select first_ms as first, samples from logger where site_id = ${siteId}`;
    expect({ first, samples }).toEqual({ first: MAY + 5 * 3_600_000, samples: 600 });
    const { samplesRevision, resultsRevision: computed } = (await resultsRevision(database, siteId))!;
    expect(computed).toBe(samplesRevision);
  });

  test("logs that were imported before stamps, shifts and zones were kept are refolded like others", async () => {
    const a = await take(smallLog(rowsFrom(0, 300), "a.csv"));
    await take(smallLog(rowsFrom(200, 300, otherEvery(2)), "b.csv"));
    await take(smallLog(rowsFrom(1000, 300), "c.csv"), END_MAP);
    const forget = async () => {
      await database.sql`
        update log set shift_ms = null, site_zone = null, first_stamps_ms = null where site_id = ${siteId}`;
      await database.sql`update fault_word set log_id = null where site_id = ${siteId}`;
    };
    const expectAsFreshToo = async () => {
      const known = (fold: Awaited<ReturnType<typeof foldOf>>) => ({
        ...fold,
        logs: fold.logs.map((log: object) => without(log, "shift_ms", "first_stamps_ms")),
      });
      expect(known(await foldOf(siteId))).toEqual(known(await foldOf(await freshImport())));
    };
    await forget();
    await withdrawLog(database, siteId, a);
    await expectAsFreshToo();
    await forget();
    await restoreLog(database, siteId, a);
    await expectAsFreshToo();
    await forget();
    await take(smallLog(rowsFrom(450, 300), "d.csv"));
    await expectAsFreshToo();
  });
});

describe("as a job", () => {
  test("each is done, followed by a recompute, and tells what it came to", async () => {
    const log = await take(smallLog(rowsFrom(0, 500)));
    await take(smallLog(rowsFrom(400, 500), "b.csv"));
    await runDueJobs(database, { siteId });
    for (const payload of [
      { action: "withdraw", logId: log },
      { action: "restore", logId: log },
      { action: "remap", logId: log, columnMap: END_MAP, evidence: null, guessed: ["loadL1W"] },
    ] as const) {
      const { jobId } = await enqueueRefold(database, siteId, payload);
      expect(await runDueJobs(database, { siteId })).toBe(2);
      const job = (await jobById(database, siteId, jobId))!;
      expect(job).toMatchObject({ kind: "refold", state: "done", result: { kind: "refolded", logId: log } });
      const { samplesRevision, resultsRevision: computed } = (await resultsRevision(database, siteId))!;
      expect(computed).toBe(samplesRevision);
      await expectAsFresh();
    }
    await expect(
      enqueueRefold(database, siteId, { action: "withdraw", logId: 999_999 }),
    ).rejects.toMatchObject({ code: "not-found" });
  });

  test("one that can't be done says why", async () => {
    const log = await take(smallLog(rowsFrom(0, 50)));
    await withdrawLog(database, siteId, log);
    const payload = { action: "remap", logId: log, columnMap: END_MAP, evidence: null } as const;
    const { jobId } = await enqueueRefold(database, siteId, payload);
    await runDueJobs(database, { siteId });
    expect(await jobById(database, siteId, jobId)).toMatchObject({
      state: "failed",
      error: { code: "conflict", message: expect.stringContaining("Restore it") },
    });
  });

  test("one that is cancelled leaves everything as it was", async () => {
    const log = await take(smallLog(rowsFrom(0, 3000)));
    await take(smallLog(rowsFrom(0, 3000, otherEvery(3)), "b.csv"));
    await runDueJobs(database, { siteId });
    const before = await foldOf(siteId);
    const cancel = new AbortController();
    const running = withdrawLog(database, siteId, log, {
      signal: cancel.signal,
      onProgress: () => cancel.abort(),
    });
    await expect(running).rejects.toMatchObject({ code: "cancelled" });
    expect(await foldOf(siteId)).toEqual(before);

    const { jobId } = await enqueueRefold(database, siteId, { action: "withdraw", logId: log });
    await database.sql.begin(async (tx) => {
      await tx`select pg_advisory_xact_lock(${SITE_LOCK}, ${siteId})`;
      const jobs = runDueJobs(database, { siteId });
      await expect.poll(async () => (await jobById(database, siteId, jobId))!.state).toBe("running");
      expect(await cancelJob(database, siteId, jobId)).toBe(true);
      await jobs;
    });
    expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "cancelled" });
    expect(await foldOf(siteId)).toEqual(before);
  });

  test.each(["refold", "copy", "before-commit"])(
    "one whose process is killed (%s) leaves everything as it was, and is taken up again",
    async (moment) => {
      const log = await take(smallLog(rowsFrom(0, 3000)));
      await take(smallLog(rowsFrom(1000, 3000, otherEvery(5)), "b.csv"));
      await runDueJobs(database, { siteId });
      const before = await foldOf(siteId);
      const revision = await resultsRevision(database, siteId);
      const { jobId } = await enqueueRefold(database, siteId, { action: "withdraw", logId: log });
      await runToDeath(moment);
      expect(await foldOf(siteId)).toEqual(before);
      expect(await resultsRevision(database, siteId)).toEqual(revision);
      expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "running" });
      await runDueJobs(database, { siteId });
      expect(await jobById(database, siteId, jobId)).toMatchObject({ state: "done", attempts: 2 });
      expect((await logById(database, siteId, log))!.state).toBe("withdrawn");
      await expectAsFresh();
    },
  );
});

async function logsOfSite(): Promise<{ logId: number; name: string }[]> {
  return database.sql`
    select log_id as "logId", name from log where site_id = ${siteId} and state = 'imported' order by position`;
}

async function runToDeath(moment: string): Promise<void> {
  const script = fileURLToPath(new URL("./run-jobs-child.ts", import.meta.url));
  const child = spawn(process.execPath, ["--import", "tsx", script, database.url, String(siteId)], {
    env: { ...process.env, LEGROOM_DIE_AT: moment },
    stdio: ["ignore", "inherit", "inherit"],
  });
  const [, signal] = await once(child, "exit");
  expect(signal).toBe("SIGKILL");
}

/** Logs of one logger that overlap in all ways, some at other intervals, with faults, rejects or out of order. */
const POOL: readonly LogSource[] = [
  smallLog(rowsFrom(0, 140), "0.csv"),
  smallLog(rowsFrom(100, 80, otherEvery(3)), "1.csv"),
  smallLog(rowsFrom(130, 90), "2.csv"),
  smallLog([...rowsFrom(260, 30), ...rowsFrom(225, 30)], "3.csv"),
  // An interval of its own, long enough to be a segment.
  smallLog(smallRows({ fromMs: MAY + 300 * STEP, samples: 130, intervalS: 60 }), "4.csv"),
  smallLog(smallRows({ fromMs: MAY + 1040 * STEP, samples: 60, intervalS: 60 }), "5.csv"),
  smallLog(smallRows({ fromMs: MAY + 90 * STEP + 5000, samples: 400, intervalS: 5 }), "6.csv"),
  smallLog(
    rowsFrom(20, 20, (row, index) => (index % 4 === 0 ? "not a time,1,2,inverter,0" : row)),
    "7.csv",
  ),
  textLog(
    `Time,L1 W,L2 W\n${rowsFrom(205, 40)
      .map((row) => row.split(",").slice(0, 3).join(","))
      .join("\n")}\n`,
    "8.csv",
  ),
];
const { source: _source, faultCode: _fault, ...LOADS } = SMALL_MAP.channels;
const MAPS: readonly ColumnMap[] = [
  SMALL_MAP,
  END_MAP,
  { ...SMALL_MAP, channels: LOADS },
  { ...END_MAP, channels: { loadL1W: { column: "L2 W", unit: "W" }, loadW: { column: "L1 W", unit: "W" } } },
];

test("after any imports, withdrawals, restorations and maps all is as a fresh import of the fold has it", async () => {
  const parsed = parseSite(SMALL_SITE);
  if (!parsed.ok) throw new Error("no site");
  const action = fc.record({
    what: fc.constantFrom("import", "import", "withdraw", "restore", "remap"),
    which: fc.nat(POOL.length - 1),
    map: fc.nat(MAPS.length - 1),
  });
  await fc.assert(
    fc.asyncProperty(fc.array(action, { minLength: 6, maxLength: 14, size: "max" }), async (actions) => {
      siteId = await newSite();
      const ids = new Map<number, number>();
      for (const { what, which, map } of actions) {
        const logId = ids.get(which);
        const mapOf = MAPS[which === 8 && map < 2 ? 2 : map];
        if (logId === undefined) ids.set(which, await take(POOL[which], mapOf));
        else if (what === "import" || what === "restore") await restoreLog(database, siteId, logId);
        else if (what === "withdraw") await withdrawLog(database, siteId, logId);
        else if ((await logById(database, siteId, logId))!.state === "imported") {
          await remapLog(database, siteId, logId, mapOf, { guessed: ["loadL1W"] });
        }
      }
      await expectAsFresh();
      await expectAsCommandLine(parsed.site);
    }),
    {
      numRuns: Number(process.env.FC_RUNS ?? 6),
      ...(process.env.FC_SEED ? { seed: Number(process.env.FC_SEED) } : {}),
    },
  );
}, 600_000);

/** The command line folds the same logs to the same counts, spans and moved times. */
async function expectAsCommandLine(site: Parameters<typeof reviewLogs>[0]): Promise<void> {
  const logs = await database.sql<
    { logId: number; name: string; sizeBytes: number; map: ColumnMap; verdict: Record<string, unknown> }[]
  >`
    select log_id as "logId", name, size_bytes as "sizeBytes", column_map as map, verdict from log
    where site_id = ${siteId} and state = 'imported' order by position`;
  if (logs.length === 0) return;
  const review = await reviewLogs(
    site,
    logs.map((log) => ({
      source: storedLogSource(database, siteId, log),
      map: log.map,
      guessed: new Set(["loadL1W"]),
    })),
    { receivedAtMs: RECEIVED },
  );
  if (review.refused) throw new Error("refused");
  const told = review.verdicts.map((verdict) => without(verdict, "rejects"));
  expect(JSON.parse(JSON.stringify(told))).toEqual(logs.map(({ verdict }) => verdict));
}
