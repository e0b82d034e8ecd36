import { setTimeout as sleep } from "node:timers/promises";
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { monthResults } from "../../db/queries/month-results";
import { rejectsOf } from "../../db/queries/rejects-of";
import { resultsRevision } from "../../db/queries/results-revision";
import { samplesBetween } from "../../db/queries/samples-between";
import { storedLogSource } from "../../db/queries/stored-log-source";
import { addSite } from "../../db/writes/add-site";
import { changeSite } from "../../db/writes/change-site";
import { type ImportOutcome, importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import type { Series } from "../../src/analysis/series";
import type { LogSource } from "../../src/ingest/log-source";
import { readLog } from "../../src/ingest/read-log";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows, textLog } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

const MAY = Date.UTC(2026, 4, 3);
const RECEIVED = Date.UTC(2026, 11, 1);

let database: TestDatabase;
let siteId: number;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());
beforeEach(async () => {
  ({ siteId } = await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` }));
});

const take = (source: LogSource, more: Partial<Parameters<typeof importLog>[1]> = {}) =>
  importLog(database, {
    siteId,
    loggerName: "main",
    source,
    columnMap: SMALL_MAP,
    receivedAtMs: RECEIVED,
    ...more,
  });

function taken(outcome: ImportOutcome): Extract<ImportOutcome, { kind: "imported" }> {
  if (outcome.kind !== "imported") throw new Error(`expected an import, got ${JSON.stringify(outcome)}`);
  return outcome;
}

const everything = async (site = siteId) => {
  const stretch = await samplesBetween(database, site, 0, Date.UTC(2100, 0, 1), 1_000_000);
  return stretch;
};

/** Everything stored of a site but its ids and clock times, as text. */
async function stored(site: number): Promise<string> {
  const { sql } = database;
  const stretch = await everything(site);
  const minutes = await sql`
    select minute_ms, samples, held_s, mean, min, max, on_s from rollup where site_id = ${site} order by minute_ms`;
  const logger = await sql`
    select name, nominal_ms, channels, has_source, has_fault, first_ms, last_ms, samples from logger where site_id = ${site}`;
  const months = await Promise.all(
    ["2026-04", "2026-05", "2026-06"].map((month) => monthResults(database, site, month)),
  );
  const results = months.map((month) => ({ ...month, revision: null, samplesRevision: null }));
  return JSON.stringify({ stretch, minutes, logger, results });
}

test("what is stored of a log is what reading it gives, to the bit", async () => {
  const log = smallLog(smallRows({ fromMs: MAY, samples: 30_000 }));
  const batches: Series[] = [];
  await readLog(
    log,
    SMALL_MAP,
    { siteZone: SMALL_SITE.timezone, receivedAtMs: RECEIVED },
    {
      async begin() {},
      async batch(batch) {
        batches.push(structuredClone(batch));
      },
      async restart() {},
      async end() {
        return { duplicates: 0, conflicts: 0, conflictLines: [] };
      },
    },
  );
  const outcome = taken(await take(log));
  expect(outcome.added).toBe(30_000);
  const { series, faultWords, nominalMs } = (await everything())!;
  const join = (pick: (batch: Series) => ArrayLike<number>) =>
    batches.flatMap((batch) => Array.from(pick(batch)));
  expect(Array.from(series.timesMs)).toEqual(join((batch) => batch.timesMs));
  expect(Array.from(series.channels.loadL1W!)).toEqual(join((batch) => batch.channels.loadL1W!));
  expect(Array.from(series.channels.loadL2W!)).toEqual(join((batch) => batch.channels.loadL2W!));
  expect(Array.from(series.sources!)).toEqual(join((batch) => batch.sources!));
  expect(Array.from(series.faults!)).toEqual(join((batch) => batch.faults!));
  expect(series.channels.loadL2W!.some(Number.isNaN)).toBe(true);
  expect(nominalMs).toBe(10_000);
  expect(new Map(faultWords.map((word) => [word.code, word.meaning]))).toEqual(
    new Map<string, string | null>([
      ["E07", "overload"],
      ["E12", null],
    ]),
  );
});

test("the log itself is kept byte for byte", async () => {
  const log = smallLog(smallRows({ fromMs: MAY, samples: 5000 }));
  const { logId } = taken(await take(log));
  const parts: Uint8Array[] = [];
  const kept = storedLogSource(database, siteId, { logId, name: log.name, sizeBytes: log.sizeBytes! });
  for await (const bytes of kept.open()) parts.push(bytes);
  expect(Buffer.concat(parts).toString()).toBe(log.text);
});

test("the results of a first log stand with it, and a recompute from the stored samples gives the same", async () => {
  const outcome = taken(await take(smallLog(smallRows({ fromMs: MAY, samples: 20_000 }))));
  expect(outcome.analysed).toBe(true);
  expect(await resultsRevision(database, siteId)).toMatchObject({ samplesRevision: 1, resultsRevision: 1 });
  const before = await stored(siteId);
  expect((await monthResults(database, siteId, "2026-05"))!.transfers.length).toBeGreaterThan(20);
  await database.sql`insert into job (site_id, kind, payload) values (${siteId}, 'recompute', '{}')`;
  // The look through its days that every import leaves, and the recompute.
  expect(await runDueJobs(database, { siteId })).toBe(2);
  expect(await stored(siteId)).toBe(before);
});

test("the same log twice changes nothing", async () => {
  const log = smallLog(smallRows({ fromMs: MAY, samples: 2000 }));
  const first = taken(await take(log));
  const before = await stored(siteId);
  expect(await take(log)).toMatchObject({ kind: "already-there", logId: first.logId });
  expect(await stored(siteId)).toBe(before);
  expect((await resultsRevision(database, siteId))!.samplesRevision).toBe(1);
  expect(await database.sql`select 1 from log where site_id = ${siteId}`).toHaveLength(1);
});

test("logs that follow one another give what the same rows give as one log", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 20_000 });
  taken(await take(smallLog(rows)));
  const whole = await stored(siteId);
  ({ siteId } = await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` }));
  for (const [from, to] of [
    [0, 7003],
    [7003, 7004],
    [7004, 20_000],
  ]) {
    taken(await take(smallLog(rows.slice(from, to), `from-${from}.csv`)));
  }
  await runDueJobs(database, { siteId });
  expect(await stored(siteId)).toBe(whole);
});

test("a log that fills a hole, or comes before the others, gives what the same rows give as one log", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 9000 });
  taken(await take(smallLog(rows)));
  const whole = await stored(siteId);
  ({ siteId } = await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` }));
  for (const [from, to] of [
    [6001, 9000],
    [0, 2005],
    [2005, 6001],
  ]) {
    taken(await take(smallLog(rows.slice(from, to), `from-${from}.csv`)));
  }
  await runDueJobs(database, { siteId });
  expect(await stored(siteId)).toBe(whole);
});

test("where logs overlap, equal rows are duplicates, others conflicts that stay out, and new ones are stored", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 1000 });
  taken(await take(smallLog(rows)));
  const overlapping = smallRows({
    fromMs: MAY + 500 * 10_000,
    samples: 1000,
    change: (row, index) => (index % 100 === 7 ? row.replace(/,[\d.]+,/, ",1234,") : row),
  });
  const { verdict, logId, added } = taken(await take(smallLog(overlapping, "overlap.csv")));
  expect(verdict.counts).toEqual({
    records: 1000,
    taken: 500,
    duplicates: 495,
    conflicts: 5,
    rejected: 0,
    skipped: 0,
  });
  expect(added).toBe(500);
  const { kept, rejects } = await rejectsOf(database, siteId, logId, { code: "series.conflict" });
  expect(kept).toBe(5);
  // Line 1 is the header.
  expect(rejects.map((reject) => reject.line)).toEqual([9, 109, 209, 309, 409]);
  const { series } = (await everything())!;
  expect(series.timesMs).toHaveLength(1500);
  expect(series.channels.loadL1W![507]).not.toBe(1234);
  expect(series.channels.loadL1W![1007]).toBe(1234);
});

test("fault codes are compared by their words, whatever numbers the logs gave them", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 1500 });
  taken(await take(smallLog(rows)));
  // Begins with the other code, which so gets the first number.
  const { verdict } = taken(await take(smallLog(rows.slice(400), "tail.csv")));
  expect(verdict.counts).toMatchObject({ duplicates: 1100, conflicts: 0, taken: 0 });
});

test("rows that are not in order are stored in order, and the log is kept as it came", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 20_000 });
  taken(await take(smallLog(rows)));
  const sorted = await stored(siteId);
  ({ siteId } = await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` }));
  const log = smallLog([...rows.slice(12_000), ...rows.slice(0, 12_000)]);
  const { logId, verdict } = taken(await take(log));
  expect(verdict.notes.map((note) => note.code)).toContain("series.sorted");
  const inOrder = JSON.parse(sorted);
  const found = JSON.parse(await stored(siteId));
  // Fault codes are numbered as they are met in the log.
  delete inOrder.stretch.series.faults;
  delete inOrder.stretch.faultWords;
  delete found.stretch.series.faults;
  delete found.stretch.faultWords;
  expect(found).toEqual(inOrder);
  const parts: Uint8Array[] = [];
  const kept = storedLogSource(database, siteId, { logId, name: log.name, sizeBytes: log.sizeBytes! });
  for await (const bytes of kept.open()) parts.push(bytes);
  expect(Buffer.concat(parts).toString()).toBe(log.text);
});

test("a minute's mean, min and max are those of its samples by how long each stands", async () => {
  const at = (second: number) => new Date(MAY + second * 1000).toISOString();
  // Every 20 s, from second 50 on one that stands over the minute's edge, then a gap.
  const log = smallLog([
    `${at(0)},100,,inverter,0`,
    `${at(20)},400,50,inverter,0`,
    `${at(50)},700,,utility,0`,
    `${at(70)},100,,inverter,0`,
    `${at(90)},100,,inverter,0`,
    `${at(600)},900,,inverter,0`,
  ]);
  taken(await take(log));
  const minutes = await database.sql`
    select minute_ms as "minuteMs", samples, held_s as "heldS", mean, min, max, on_s as "onS"
    from rollup where site_id = ${siteId} order by minute_ms`;
  expect(minutes.map((minute) => (minute.minuteMs - MAY) / 60_000)).toEqual([0, 1, 10]);
  const [first, second, last] = minutes;
  expect(first).toMatchObject({ samples: 3, heldS: 60 });
  expect(first.mean[0]).toBeCloseTo((100 * 20 + 400 * 30 + 700 * 10) / 60, 4);
  expect([first.min[0], first.max[0], first.mean[1]]).toEqual([100, 700, 50]);
  const [{ unknown }] = await database.sql`
    select bool_and(mean[3] is null and min[3] is null) as unknown from rollup where site_id = ${siteId}`;
  expect(unknown).toBe(true);
  expect(first.onS).toEqual([0, 50, 10, 0, 0]);
  // 700 W for its last 10 s, then 100 W for 20 s and for the nominal 20 s before the gap.
  expect(second).toMatchObject({ samples: 2, heldS: 50 });
  expect(second.mean[0]).toBeCloseTo((700 * 10 + 100 * 40) / 50, 4);
  expect(last).toMatchObject({ samples: 1, heldS: 20 });
});

test("an import that is cancelled leaves nothing", async () => {
  const cancel = new AbortController();
  const log = smallLog(smallRows({ fromMs: Date.UTC(2026, 2, 1), samples: 60_000 }));
  const running = take(log, { signal: cancel.signal, onProgress: () => cancel.abort() });
  await expect(running).rejects.toMatchObject({ name: "AppError", code: "cancelled" });
  await expectNothingOf(siteId);
  expect(taken(await take(log)).added).toBe(60_000);
});

test("with all-or-nothing one rejected row refuses the log, and nothing is stored", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 500 });
  rows[250] = "not a time,1,2,inverter,0";
  const outcome = await take(smallLog(rows), { allOrNothing: true });
  expect(outcome).toMatchObject({ kind: "refused", verdict: { counts: { rejected: 1 } } });
  await expectNothingOf(siteId);
  expect(taken(await take(smallLog(rows))).verdict.counts).toMatchObject({ taken: 499, rejected: 1 });
});

test("a file that is no log is refused with the reason, and nothing is stored", async () => {
  const outcome = await take(textLog("\0\0\u0001binary\0", "photo.jpg"));
  expect(outcome).toMatchObject({ kind: "refused", verdict: { refused: true } });
  await expectNothingOf(siteId);
});

test("nobody who reads a stored month waits for an import of a new one", async () => {
  taken(await take(smallLog(smallRows({ fromMs: MAY, samples: 1000 }))));
  const september = smallLog(smallRows({ fromMs: Date.UTC(2026, 8, 1), samples: 60_000 }), "september.csv");
  const halting = haltInTheMiddle(september);
  const running = take(halting.source);
  await halting.reached;
  const readers = Promise.all([
    everything(),
    monthResults(database, siteId, "2026-05"),
    database.sql`select count(*) from sample`,
  ]);
  const answered = await Promise.race([readers.then(() => true), sleep(5000, false)]);
  halting.goOn();
  expect(answered).toBe(true);
  expect(taken(await running).added).toBe(60_000);
});

test("results that were computed while the site was changed are not taken for current ones", async () => {
  const halting = haltInTheMiddle(smallLog(smallRows({ fromMs: MAY, samples: 60_000 })));
  const running = take(halting.source);
  await halting.reached;
  const changed = {
    ...SMALL_SITE,
    name: `Site ${sites}`,
    ratings: [{ from: "2026-01-01", legLimitW: 8000 }],
  };
  await changeSite(database, siteId, changed);
  halting.goOn();
  expect(taken(await running).analysed).toBe(false);
  expect(await resultsRevision(database, siteId)).toMatchObject({
    samplesRevision: 2,
    resultsRevision: null,
  });
  await runDueJobs(database, { siteId });
  expect(await resultsRevision(database, siteId)).toMatchObject({ samplesRevision: 2, resultsRevision: 2 });
  const { days } = (await monthResults(database, siteId, "2026-05"))!;
  expect(Math.max(...days.map((day) => day.peakLoadingL1!))).toBeLessThan(0.6);
});

test("a database that goes away in the middle of an import says so and keeps nothing of it", async () => {
  const log = smallLog(smallRows({ fromMs: Date.UTC(2026, 9, 1), samples: 60_000 }));
  const halting = haltInTheMiddle(log);
  const running = take(halting.source);
  await halting.reached;
  const ended = await database.sql`
    select pg_terminate_backend(pid) from pg_stat_activity
    where datname = current_database() and query like 'copy sample%' and pid <> pg_backend_pid()`;
  expect(ended).toHaveLength(1);
  halting.goOn();
  await expect(running).rejects.toMatchObject({ name: "AppError", code: "server-unreachable" });
  await expectNothingOf(siteId);
  expect(taken(await take(log)).added).toBe(60_000);
});

test.each([100, 20_000])(
  "a disk that is full after %i rows says so and keeps nothing of the log",
  async (rows) => {
    const { sql } = database;
    const fromMs = Date.UTC(2027, rows === 100 ? 0 : 1, 1);
    const atMs = fromMs + (rows - 1) * 10_000;
    await sql.unsafe(`
      create function full_disk_${rows}() returns trigger language plpgsql as $$
      begin raise exception 'could not extend file: No space left on device' using errcode = '53100'; end $$;
      create trigger full_disk_${rows} before insert on sample for each row when (new.at_ms = ${atMs})
      execute function full_disk_${rows}()`);
    const running = take(smallLog(smallRows({ fromMs, samples: rows })), { receivedAtMs: fromMs + 1e9 });
    await expect(running).rejects.toMatchObject({ name: "AppError", code: "disk-full" });
    await expectNothingOf(siteId);
    await sql.unsafe(`drop trigger full_disk_${rows} on sample`);
  },
);

test("a logger that the site doesn't have is refused by name", async () => {
  await expect(
    take(smallLog(smallRows({ fromMs: MAY, samples: 10 })), { loggerName: "attic" }),
  ).rejects.toMatchObject({
    code: "bad-input",
    message: expect.stringContaining('no logger "attic". Its loggers: main'),
  });
});

/** A log whose third reading, the one that stores, halts after two thirds until told to go on. */
function haltInTheMiddle(log: LogSource): { source: LogSource; reached: Promise<void>; goOn(): void } {
  let goOn = () => {};
  const held = new Promise<void>((resolve) => {
    goOn = resolve;
  });
  let reach = () => {};
  const reached = new Promise<void>((resolve) => {
    reach = resolve;
  });
  let opened = 0;
  const source: LogSource = {
    ...log,
    async *open() {
      // The first time it is hashed, the second its head is looked at.
      const halts = ++opened === 3;
      let sent = 0;
      for await (const bytes of log.open()) {
        if (halts && sent > (log.sizeBytes! * 2) / 3) {
          reach();
          await held;
        }
        yield bytes;
        sent += bytes.byteLength;
      }
    },
  };
  return { source, reached, goOn: () => goOn() };
}

async function expectNothingOf(site: number): Promise<void> {
  const { sql } = database;
  for (const table of ["log", "log_chunk", "reject", "sample", "rollup", "fault_word", "job", "day_result"]) {
    expect(await sql`select 1 from ${sql(table)} where site_id = ${site}`, table).toHaveLength(0);
  }
  expect(await resultsRevision(database, site)).toMatchObject({ samplesRevision: 0, resultsRevision: null });
}
