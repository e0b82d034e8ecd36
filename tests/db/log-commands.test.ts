import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { resultsRevision } from "../../db/queries/results-revision";
import { samplesBetween } from "../../db/queries/samples-between";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { runLegroom } from "../run-legroom";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

// The real commands that list, withdraw, restore and remap logs, on a server of the user's own (DATABASE_URL).

const MAY = Date.UTC(2026, 4, 3);

let database: TestDatabase;
let folder: string;
let siteId: number;
const logIds: number[] = [];
const legroom = (...words: string[]) => runLegroom(words, { DATABASE_URL: database.url });
const onSite = (command: string, log: number | string, ...words: string[]) =>
  legroom(command, String(log), "--site", SMALL_SITE.name, ...words);

beforeAll(async () => {
  database = await testDatabase();
  folder = mkdtempSync(join(tmpdir(), "legroom log commands "));
  ({ siteId } = await addSite(database, SMALL_SITE));
  for (const [name, first] of [
    ["a.csv", 0],
    ["b.csv", 400],
  ] as const) {
    const source = smallLog(smallRows({ fromMs: MAY + first * 10_000, samples: 600 }), name);
    const outcome = await importLog(database, {
      siteId,
      loggerName: "main",
      source,
      columnMap: SMALL_MAP,
      receivedAtMs: Date.UTC(2026, 11, 1),
    });
    if (outcome.kind === "imported") logIds.push(outcome.logId);
  }
});
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await database.drop();
});

const samples = async () =>
  (await samplesBetween(database, siteId, 0, Date.UTC(2100, 0, 1), 1_000_000))?.series.timesMs.length ?? 0;

test("a log is listed, withdrawn, restored and read with another map, results with it", async () => {
  const [first, second] = logIds;
  const listed = await legroom("logs", "--site", SMALL_SITE.name);
  expect(listed).toMatchObject({ code: 0, err: "" });
  expect(listed.out.split("\n")).toEqual([
    expect.stringMatching(
      new RegExp(`^${second}  b\\.csv: imported, main, .+ to .+; 600 records: 400 taken, 200 duplicates, 0`),
    ),
    expect.stringMatching(new RegExp(`^${first}  a\\.csv: imported, main, .+ to .+; 600 records: 600 taken`)),
    "",
  ]);

  const withdrawn = await onSite("withdraw", first);
  expect(withdrawn.code).toBe(0);
  expect(withdrawn.out).toBe(`a.csv (log ${first}) is withdrawn. 1 other log that it touches read again.\n`);
  expect(await samples()).toBe(600);
  const { samplesRevision, resultsRevision: computed } = (await resultsRevision(database, siteId))!;
  expect(computed).toBe(samplesRevision);
  const again = await onSite("withdraw", first, "--json");
  expect(JSON.parse(again.out)).toEqual({ version: 1, kind: "unchanged", logId: first, name: "a.csv" });
  const json = JSON.parse((await legroom("logs", "--site", SMALL_SITE.name, "--json")).out);
  expect(json.logs[1]).toMatchObject({ logId: first, name: "a.csv", state: "withdrawn", logger: "main" });
  expect(json.logs[0].counts).toMatchObject({ records: 600, taken: 600, duplicates: 0 });

  const restored = await onSite("restore", first);
  expect(restored.code).toBe(0);
  expect(restored.out).toContain(`a.csv (log ${first}) is in the site. 1 other log`);
  expect(restored.out).toContain("a.csv: 600 records: 600 taken");
  expect(await samples()).toBe(1000);

  const columns = join(folder, "columns.json");
  writeFileSync(columns, JSON.stringify({ ...SMALL_MAP, time: { ...SMALL_MAP.time, stamps: "end" } }));
  const remapped = await onSite("remap", second, "--columns", columns, "--json");
  expect(remapped.code).toBe(0);
  expect(JSON.parse(remapped.out)).toMatchObject({
    version: 1,
    kind: "refolded",
    logId: second,
    verdict: { counts: { records: 600, taken: 399 } },
  });
});

test("what can't be done is refused with the reason, and changes nothing", async () => {
  const before = await resultsRevision(database, siteId);
  const columns = join(folder, "wrong.json");
  writeFileSync(
    columns,
    JSON.stringify({ ...SMALL_MAP, channels: { loadL1W: { column: "Leg A", unit: "W" } } }),
  );
  const remapped = await onSite("remap", logIds[0], "--columns", columns, "--strict");
  expect(remapped).toMatchObject({ code: 1, out: "" });
  expect(remapped.err).toMatch(/Leg A/);
  const missing = await onSite("withdraw", 999_999);
  expect(missing).toMatchObject({ code: 1, out: "" });
  expect(missing.err).toMatch(/has no log 999999/);
  for (const words of [["withdraw", "a.csv", "--site", "x"], ["restore"], ["remap", "1", "--site", "x"]]) {
    const wrong = await legroom(...words);
    expect(wrong).toMatchObject({ code: 2, out: "" });
    expect(wrong.err).toContain(`legroom ${words[0]} LOGID --site NAME`);
  }
  expect(await resultsRevision(database, siteId)).toEqual(before);
});
