import {
  appendFileSync,
  copyFileSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { storedLogSource } from "../../db/queries/stored-log-source";
import { addSite } from "../../db/writes/add-site";
import { importGrownLog } from "../../db/writes/import-grown-log";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { type ColumnMap, columnMap } from "../../src/site/column-map";
import { foldOf } from "./fold-of";
import { SMALL_MAP, SMALL_SITE, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// Logs in real files that grow, against a fresh import of the grown file.

const MAY = Date.UTC(2026, 4, 3);
const RECEIVED = Date.UTC(2026, 11, 1);
const STEP = 10_000;
const HEADER = "Time,L1 W,L2 W,Source,Fault";

/** A counter and an interval's energy beside the loads. */
const ENERGY_HEADER = `${HEADER},Import kWh,Sun Wh`;
const energyMap = (stamps: "start" | "end") =>
  columnMap({
    version: 1,
    time: { column: "Time", stamps },
    channels: {
      loadL1W: { column: "L1 W" },
      loadL2W: { column: "L2 W" },
      source: { column: "Source" },
      faultCode: { column: "Fault", words: { E07: "overload" } },
      gridW: { column: "Import kWh", unit: "kWh" },
      solarW: { column: "Sun Wh", unit: "Wh", energy: "interval" },
    },
  }) as ColumnMap;

let database: TestDatabase;
let folder: string;
let path: string;
let siteId: number;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
});
afterAll(() => database.drop());
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "legroom-grown-"));
  path = join(folder, "meter.csv");
  siteId = await newSite();
  return () => rmSync(folder, { recursive: true });
});

const newSite = async () => (await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` })).siteId;
const rows = (first: number, samples: number) => smallRows({ fromMs: MAY + first * STEP, samples });
const energyRows = (first: number, samples: number) =>
  rows(first, samples).map((row, i) => {
    const n = first + i;
    const kwh = n % 4000 === 0 ? "" : (((n % 9000) * 7) / 1000).toFixed(3);
    return `${row},${kwh},${n % 5}`;
  });
const text = (lines: readonly string[]) => lines.map((line) => `${line}\n`).join("");

async function take(file: string, map: ColumnMap = SMALL_MAP, site = siteId) {
  const request = {
    siteId: site,
    loggerName: "main",
    source: await fileLogSource(file),
    receivedAtMs: RECEIVED,
  };
  const grown = await importGrownLog(database, request);
  const outcome = grown ?? (await importLog(database, { ...request, columnMap: map, guessed: ["loadL1W"] }));
  if (outcome.kind === "refused") throw new Error(JSON.stringify(outcome.verdict));
  return outcome;
}

/** Whether the growth was read from where the log had stood: no position is kept of one that was read anew in vain. */
const readingOf = async (logId: number) => {
  const [row] = await database.sql<{ bytes: number | null; size: number }[]>`
    select read_bytes as bytes, size_bytes as size from log_growth join log using (site_id, log_id)
    where site_id = ${siteId} and log_id = ${logId}`;
  return row;
};

async function expectAsFresh(map: ColumnMap = SMALL_MAP) {
  await runDueJobs(database, { siteId });
  const fresh = await newSite();
  await take(path, map, fresh);
  await runDueJobs(database, { siteId: fresh });
  const found = await foldOf(database, siteId);
  const expected = await foldOf(database, fresh);
  // Part by part: where one differs its name says more than the whole.
  for (const key of Object.keys(expected)) expect([key, found[key]]).toEqual([key, expected[key]]);
  const logs = await database.sql<{ logId: number; name: string; sizeBytes: number }[]>`
    select log_id as "logId", name, size_bytes as "sizeBytes" from log where site_id = ${siteId} order by position desc limit 1`;
  const kept: Uint8Array[] = [];
  for await (const bytes of storedLogSource(database, siteId, logs[0]).open()) kept.push(bytes);
  expect(Buffer.concat(kept).equals(readFileSync(path))).toBe(true);
}

test("of a long log only the new rows are read, and all is as after a fresh import of the grown file", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(0, 24_000))}`);
  const first = await take(path);
  const before =
    await database.sql`select ctid::text as place from sample where site_id = ${siteId} order by at_ms limit 1`;
  for (let minute = 0; minute < 5; minute++) {
    appendFileSync(path, text(rows(24_000 + minute * 6, 6)));
    const outcome = await take(path);
    expect(outcome).toMatchObject({ kind: "imported", added: 6, logId: first.logId });
    expect(outcome.kind === "imported" && outcome.grownFromBytes).toBeGreaterThan(1e6);
    const { bytes, size } = await readingOf(first.logId);
    expect(bytes).toBe(size);
  }
  // The old samples are where they were: nothing of them was written again.
  expect(
    await database.sql`select ctid::text as place from sample where site_id = ${siteId} order by at_ms limit 1`,
  ).toEqual(before);
  await expectAsFresh();
  expect((await take(path)).kind).toBe("already-there");
});

test.each(["start", "end"] as const)(
  "a counter's last sample gets its power with the next row, stamps at the %s of the interval",
  async (stamps) => {
    const map = energyMap(stamps);
    writeFileSync(path, `${ENERGY_HEADER}\n${text(energyRows(0, 20_000))}`);
    const first = await take(path, map);
    const cuts = [1, 2, 5, 61];
    let n = 20_000;
    for (const count of cuts) {
      appendFileSync(path, text(energyRows(n, count)));
      n += count;
      expect(await take(path, map)).toMatchObject({ kind: "imported", added: count, logId: first.logId });
    }
    await expectAsFresh(map);
    const [{ power }] = await database.sql<{ power: number | null }[]>`
      select grid_w as power from sample where site_id = ${siteId} order by at_ms desc offset 1 limit 1`;
    expect(power).toBeGreaterThan(0);
  },
);

test("a line that was not finished is read again when it is", async () => {
  const more = text(rows(24_000, 40));
  writeFileSync(path, `${HEADER}\n${text(rows(0, 24_000))}`);
  await take(path);
  for (let at = 0; at < more.length; ) {
    const piece = more.slice(at, at + 37);
    appendFileSync(path, piece);
    at += piece.length;
    await take(path);
  }
  await expectAsFresh();
});

test("a small log, one out of order and one in the midst of others are read anew in their place", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(100, 200))}`);
  const { logId } = await take(path);
  const other = join(folder, "other.csv");
  writeFileSync(other, `${HEADER}\n${text(rows(310, 30))}`);
  await take(other);
  appendFileSync(path, text(rows(300, 20)));
  expect(await take(path)).toMatchObject({ kind: "imported", logId, added: 20 });
  appendFileSync(path, text(rows(0, 50)));
  const outcome = await take(path);
  expect(outcome).toMatchObject({ kind: "imported", logId, added: 50 });
  await runDueJobs(database, { siteId });
  const fresh = await newSite();
  await take(path, SMALL_MAP, fresh);
  await take(other, SMALL_MAP, fresh);
  await runDueJobs(database, { siteId: fresh });
  expect(await foldOf(database, siteId)).toEqual(await foldOf(database, fresh));
});

test("a long log among others of which one has samples after it is read anew too", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(0, 24_000))}`);
  const { logId } = await take(path);
  const later = join(folder, "later.csv");
  writeFileSync(later, `${HEADER}\n${text(rows(24_010, 30))}`);
  await take(later);
  appendFileSync(path, text(rows(24_000, 30)));
  expect(await take(path)).toMatchObject({ kind: "imported", logId, added: 30 });
  await runDueJobs(database, { siteId });
  const fresh = await newSite();
  await take(path, SMALL_MAP, fresh);
  await take(later, SMALL_MAP, fresh);
  await runDueJobs(database, { siteId: fresh });
  expect(await foldOf(database, siteId)).toEqual(await foldOf(database, fresh));
});

test("a file whose old part was changed is another log", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(0, 24_000))}`);
  const { logId } = await take(path);
  const [header, first, ...others] = readFileSync(path, "utf8").split("\n");
  writeFileSync(path, [header, first.replace(/,[\d.]+,/, ",77,"), ...others].join("\n"));
  appendFileSync(path, text(rows(24_000, 10)));
  const outcome = await take(path);
  expect(outcome.logId).not.toBe(logId);
  expect(outcome).toMatchObject({ kind: "imported", added: 10 });
  expect(outcome.kind === "imported" && outcome.verdict.counts).toMatchObject({
    duplicates: 23_999,
    conflicts: 1,
  });
});

test("a copy under another name is looked at to its last byte before it counts as the log", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(0, 60_000))}`);
  const { logId } = await take(path);
  const copy = join(folder, "copy.csv");
  copyFileSync(path, copy);
  appendFileSync(copy, text(rows(60_000, 10)));
  // A byte in the middle, which the blocks of a file that is known to be the same may not show.
  const bytes = readFileSync(copy);
  const at = bytes.indexOf(",inverter,", bytes.length >> 1) - 1;
  bytes[at] = bytes[at] === 0x31 ? 0x32 : 0x31;
  writeFileSync(copy, bytes);
  const other = await take(copy);
  expect(other.logId).not.toBe(logId);
  await withdrawLog(database, siteId, other.logId);
  renameSync(copy, join(folder, "away.csv"));
  copyFileSync(path, copy);
  appendFileSync(copy, text(rows(60_000, 10)));
  expect(await take(copy)).toMatchObject({ kind: "imported", logId, added: 10 });
});

test("a refused row among the new ones refuses the growth where no row may be, and leaves everything", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(0, 24_000))}`);
  const { logId } = await take(path);
  await runDueJobs(database, { siteId });
  const before = await foldOf(database, siteId);
  appendFileSync(path, `nonsense\nmore nonsense\n${text(rows(24_000, 5))}`);
  const refused = await importGrownLog(database, {
    siteId,
    loggerName: "main",
    source: await fileLogSource(path),
    receivedAtMs: RECEIVED,
    allOrNothing: true,
  });
  expect(refused).toMatchObject({ kind: "refused" });
  expect(await foldOf(database, siteId)).toEqual(before);
  expect(await take(path)).toMatchObject({ kind: "imported", logId, added: 5 });
  await expectAsFresh();
});

test("codes of faults that come new keep apart from those of other logs", async () => {
  writeFileSync(path, `${HEADER}\n${text(rows(0, 24_000))}`);
  await take(path);
  appendFileSync(path, text(rows(24_000, 9).map((row, i) => row.replace(/,0$/, `,N${i % 3}`))));
  expect(await take(path)).toMatchObject({ added: 9 });
  // The numbers after these are another log's now.
  const early = join(folder, "early.csv");
  writeFileSync(early, `${HEADER}\n${text(rows(-50, 20).map((row) => row.replace(/,0$/, ",OLD")))}`);
  await take(early);
  appendFileSync(path, text(rows(24_009, 9).map((row, i) => row.replace(/,0$/, `,Q${i % 2}`))));
  expect(await take(path)).toMatchObject({ added: 9 });
  await runDueJobs(database, { siteId });
  const fresh = await newSite();
  await take(path, SMALL_MAP, fresh);
  await take(early, SMALL_MAP, fresh);
  await runDueJobs(database, { siteId: fresh });
  expect(await foldOf(database, siteId)).toEqual(await foldOf(database, fresh));
});
