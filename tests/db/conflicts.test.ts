import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Papa from "papaparse";
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import { type ConflictRow, conflictsOf } from "../../db/queries/conflicts-of";
import { samplesBetween } from "../../db/queries/samples-between";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { remapLog } from "../../db/writes/remap-log";
import { restoreLog } from "../../db/writes/restore-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { withdrawLog } from "../../db/writes/withdraw-log";
import type { LogSource } from "../../src/ingest/log-source";
import { runLegroom } from "../run-legroom";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// Conflicts of a log, all of them, and a period replaced on purpose.

const MAY = Date.UTC(2026, 4, 3);
const STEP_MS = 10_000;

let database: TestDatabase;
let folder: string;
let siteId: number;
let sites = 0;

beforeAll(async () => {
  database = await testDatabase();
  folder = mkdtempSync(join(tmpdir(), "legroom conflicts "));
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await database?.drop();
});
beforeEach(async () => {
  ({ siteId } = await addSite(database, { ...SMALL_SITE, name: `Site ${++sites}` }));
});

/** A log whose every `every`-th row says a load of L1 that is larger by `by`. */
function log(name: string, from: number, samples: number, every = 0, by = 0): LogSource & { text: string } {
  const change = (row: string, index: number) =>
    every > 0 && index % every === 0 ? row.replace(/,([\d.]+)/, (_, w) => `,${Number(w) + by}`) : row;
  return smallLog(smallRows({ fromMs: MAY + from * STEP_MS, samples, change }), name);
}

async function take(
  source: LogSource,
  replace: { fromMs: number | null; toMs: number | null } | null = null,
) {
  const outcome = await importLog(database, {
    siteId,
    loggerName: "main",
    source,
    columnMap: SMALL_MAP,
    replace,
    receivedAtMs: Date.UTC(2026, 11, 1),
  });
  if (outcome.kind !== "imported") throw new Error(outcome.kind);
  return outcome;
}

async function conflicts(logId: number): Promise<ConflictRow[]> {
  const found = await conflictsOf(database, siteId, logId);
  const all: ConflictRow[] = [];
  for await (const rows of found?.rows ?? []) all.push(...rows);
  return all;
}

const l1 = async () => {
  const found = await samplesBetween(database, siteId, 0, Date.UTC(2100, 0, 1), 1_000_000);
  return [...(found?.series.channels.loadL1W ?? [])];
};
const ITS_OWN = { fromMs: null, toMs: null };

test("each conflict is there with line, time, what stands, what came, and the log that it stands from", async () => {
  await take(log("a.csv", 0, 400));
  await take(log("b.csv", 300, 400, 2, 1));
  const { logId, verdict } = await take(log("c.csv", 0, 900, 3, 5));
  const all = await conflicts(logId);
  expect(all.length).toBe(verdict.counts.conflicts);
  expect(all.length).toBeGreaterThan(300);
  const first = all[0];
  expect(first).toMatchObject({ line: 2, atMs: MAY, fromLog: "a.csv" });
  expect(first.came[0]).toBe((first.stands[0] as number) + 5);
  expect(first.came.slice(1)).toEqual(first.stands.slice(1));
  for (const { line, atMs, fromLog } of all) {
    const index = (atMs - MAY) / STEP_MS;
    expect(line).toBe(index + 2);
    // Where both have a sample, that of the earlier log stands.
    expect(fromLog).toBe(index < 400 ? "a.csv" : "b.csv");
  }
  expect(await conflicts(logId - 2)).toEqual([]);
});

test("more of them than rejects are kept are all there", async () => {
  await take(log("a.csv", 0, 12_000));
  const { logId, verdict } = await take(log("b.csv", 0, 12_000, 1, 3));
  expect(verdict.rejects.length).toBeLessThan(12_000);
  const all = await conflicts(logId);
  expect(all.length).toBe(12_000);
  expect(new Set(all.map(({ line }) => line)).size).toBe(12_000);
});

test("a log that contradicts itself, and one that is not in order, tell theirs too", async () => {
  const rows = smallRows({ fromMs: MAY, samples: 50 });
  const twice = smallLog(
    [...rows.slice(0, 20), rows[19].replace(/,([\d.]+)/, ",9"), ...rows.slice(20)],
    "twice.csv",
  );
  const { logId } = await take(twice);
  expect(await conflicts(logId)).toMatchObject([
    {
      line: 22,
      atMs: MAY + 19 * STEP_MS,
      fromLog: "twice.csv",
      came: [9, expect.anything(), expect.anything(), null],
    },
  ]);
  const mixed = smallLog(log("", 10, 60, 2, 7).text.split("\n").slice(1, 61).reverse(), "reversed.csv");
  const reversed = await take(mixed);
  const all = await conflicts(reversed.logId);
  expect(all.length).toBe(reversed.verdict.counts.conflicts);
  expect(all.length).toBe(20);
  expect(all.every(({ fromLog }) => fromLog === "twice.csv")).toBe(true);
});

test("a log that replaces takes the place of earlier ones in its period, and withdrawn gives it back", async () => {
  await take(log("a.csv", 0, 400));
  const before = await l1();
  const { logId, verdict } = await take(log("b.csv", 100, 100, 2, 50), ITS_OWN);
  expect(verdict.counts).toMatchObject({ taken: 100, duplicates: 0, conflicts: 0 });
  const after = await l1();
  expect(after.length).toBe(400);
  after.forEach((w, index) => {
    const changed = index >= 100 && index < 200 && index % 2 === 0;
    expect(w).toBe(Math.fround(before[index] + (changed ? 50 : 0)));
  });
  await withdrawLog(database, siteId, logId);
  expect(await l1()).toEqual(before);
  await restoreLog(database, siteId, logId);
  expect(await l1()).toEqual(after);
  await runDueJobs(database, { siteId });
  // Another map of it keeps the replacement.
  await remapLog(database, siteId, logId, {
    ...SMALL_MAP,
    channels: {
      ...SMALL_MAP.channels,
      loadL1W: { column: "L2 W", unit: "W" },
      loadL2W: { column: "L1 W", unit: "W" },
    },
  });
  const remapped = await l1();
  expect(remapped.slice(0, 100)).toEqual(before.slice(0, 100));
  expect(remapped.slice(100, 200)).not.toEqual(before.slice(100, 200));
});

test("a period that is given can be wider than the log: what stood in it is gone", async () => {
  await take(log("a.csv", 0, 400));
  const period = { fromMs: MAY + 50 * STEP_MS, toMs: MAY + 299 * STEP_MS };
  const { logId } = await take(log("b.csv", 100, 100, 1, 50), period);
  expect((await l1()).length).toBe(400 - 250 + 100);
  // A later log fills what is free, and is a conflict where the replacing one stands.
  const later = await take(log("c.csv", 0, 401));
  expect(later.verdict.counts).toMatchObject({ taken: 151, duplicates: 150, conflicts: 100 });
  const all = await conflicts(later.logId);
  expect(all.every(({ fromLog }) => fromLog === "b.csv")).toBe(true);
  await withdrawLog(database, siteId, logId);
  expect((await l1()).length).toBe(401);
});

test("the commands replace, list conflicts without formulas, and know a log's shape again", async () => {
  const legroom = (...words: string[]) => runLegroom(words, { DATABASE_URL: database.url });
  const site = `Site ${sites}`;
  const path = (name: string) => join(folder, name);
  writeFileSync(path("=a.csv"), log("", 0, 400).text);
  writeFileSync(path("b.csv"), log("", 200, 400, 2, 5).text);
  writeFileSync(path("c.csv"), log("", 100, 100, 2, 50).text);
  const columns = path("columns.json");
  writeFileSync(columns, JSON.stringify(SMALL_MAP));

  const first = await legroom("import", path("=a.csv"), "--site", site, "--columns", columns);
  expect(first.code, first.err).toBe(0);
  const second = await legroom("import", path("b.csv"), "--site", site);
  expect(second.err).toMatch(/b\.csv: Recognised: the map of "=a\.csv", imported on /);
  expect(second.out).toContain("100 conflicts");
  const [{ logId }] = await database.sql<{ logId: number }[]>`
    select log_id as "logId" from log where site_id = ${siteId} and name = 'b.csv'`;
  const listed = await legroom("conflicts", String(logId), "--site", site);
  expect(listed.code).toBe(0);
  const { data, errors } = Papa.parse<Record<string, string>>(listed.out, {
    header: true,
    skipEmptyLines: true,
  });
  expect(errors).toEqual([]);
  expect(data.length).toBe(100);
  expect(data[0]).toMatchObject({ line: "2", "stands from log": "'=a.csv" });
  expect(Number(data[0]["loadL1W came"]) - Number(data[0]["loadL1W stands"])).toBeCloseTo(5, 3);

  const third = await legroom("import", path("c.csv"), "--site", site, "--replace");
  expect(third.out).toContain("100 taken");
  const again = await legroom("import", path("c.csv"), "--site", site, "--replace");
  expect(again.out).toContain("import it with --replace");
  expect((await legroom("import", path("c.csv"), "--site", site, "--replace-from", "May")).code).toBe(2);
  expect((await legroom("conflicts", "999999", "--site", site)).code).toBe(1);

  // A mapped column that is gone is asked about, and taken without it only when told to.
  writeFileSync(path("d.csv"), log("", 900, 50).text.replace("L2 W", "Somewhere"));
  const asked = await legroom("import", path("d.csv"), "--site", site);
  expect(asked.code).toBe(1);
  expect(asked.err).toContain('gone: "l2 w"');
  expect(asked.err).toContain('takes loadL2W from "L2 W", which this log doesn\'t have any more');
  expect(asked.err).toContain("--accept-shape");
  expect((await legroom("import", path("d.csv"), "--site", site, "--accept-shape")).code).toBe(0);
}, 300_000);
