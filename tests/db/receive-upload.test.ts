import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, expect, test } from "vitest";
import { storedLogSource } from "../../db/queries/stored-log-source";
import { addSite } from "../../db/writes/add-site";
import { importReceivedLog } from "../../db/writes/import-log";
import { receiveUpload } from "../../db/writes/receive-upload";
import { zipArchive } from "../unit/ingest/zip-archive";
import { SMALL_MAP, SMALL_SITE, smallLog, smallRows } from "./small-log";
import { type TestDatabase, testDatabase } from "./test-database";

const MAY = Date.UTC(2026, 4, 3);

let database: TestDatabase;
let siteId: number;
let tmpDir: string;
beforeAll(async () => {
  database = await testDatabase();
  ({ siteId } = await addSite(database, SMALL_SITE));
  tmpDir = mkdtempSync(join(tmpdir(), "legroom-receive-"));
});
afterAll(async () => {
  rmSync(tmpDir, { recursive: true });
  await database.drop();
});

async function* inPieces(bytes: Uint8Array, size: number) {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}
const upload = (name: string, bytes: Uint8Array, size = 1000) =>
  receiveUpload(database, { siteId, loggerName: "main", name, body: inPieces(bytes, size), tmpDir });
const textOf = async (fromMs: number) => {
  const parts: Uint8Array[] = [];
  for await (const part of smallLog(smallRows({ fromMs, samples: 200 }), "x").open()) parts.push(part);
  return Buffer.concat(parts);
};
const stored = async (logId: number, sizeBytes: number) => {
  const parts: Uint8Array[] = [];
  for await (const part of storedLogSource(database, siteId, { logId, name: "", sizeBytes }).open())
    parts.push(part);
  return Buffer.concat(parts);
};
const logs = async () =>
  (await database.sql<{ n: number }[]>`select count(*)::int as n from log where site_id = ${siteId}`)[0].n;

test("a gzip file is kept unpacked, and the same log as text is there already", async () => {
  const text = await textOf(MAY);
  const { logs: received } = await upload("may.csv.gz", gzipSync(text), 1);
  expect(received).toMatchObject([{ name: "may.csv.gz", state: "received", sizeBytes: text.length }]);
  expect((await stored(received[0].logId, text.length)).equals(text)).toBe(true);
  const again = await upload("may.csv", text);
  expect(again.logs).toMatchObject([{ logId: received[0].logId, alreadyThere: true }]);
});

test("each entry of a zip archive becomes a log of its own that can be imported", async () => {
  const texts = [await textOf(MAY + 86_400_000), await textOf(MAY + 2 * 86_400_000)];
  const bytes = zipArchive([
    { name: "days/2.csv", text: texts[1] },
    { name: "days/1.csv", text: texts[0] },
    { name: "../../.rubbish", text: "x" },
  ]);
  const { logs: received, leftOut } = await upload("days.zip", bytes, 7);
  expect(received.map(({ name }) => name)).toEqual(["days.zip/days/1.csv", "days.zip/days/2.csv"]);
  expect(leftOut).toEqual(["days.zip/../../.rubbish"]);
  for (const [i, { logId, sizeBytes }] of received.entries()) {
    expect((await stored(logId, sizeBytes)).equals(texts[i])).toBe(true);
    const outcome = await importReceivedLog(database, { siteId, logId, columnMap: SMALL_MAP });
    expect(outcome).toMatchObject({ kind: "imported", added: 200 });
  }
  expect(readdirSync(tmpDir)).toEqual([]);
});

test.each<[string, () => Promise<Uint8Array> | Uint8Array, RegExp]>([
  [
    "a damaged later entry",
    async () =>
      zipArchive([
        { name: "1.csv", text: await textOf(MAY + 5 * 86_400_000) },
        { name: "2.csv", text: await textOf(MAY + 6 * 86_400_000), crc: 1 },
      ]),
    /damaged/,
  ],
  [
    "a gzip file that was cut off",
    async () => gzipSync(await textOf(MAY + 7 * 86_400_000)).subarray(0, 900),
    /cut off/,
  ],
  ["an archive in an archive", () => gzipSync(zipArchive([{ name: "a.csv", text: "a" }])), /archive again/],
  ["an archive bomb", () => zipArchive([{ name: "a.csv", text: Buffer.alloc(40 << 20) }]), /times its size/],
])("%s is refused and leaves nothing, on disk and in the database", async (_, make, says) => {
  const before = await logs();
  await expect(upload("bad.zip", await make(), 64 * 1024)).rejects.toMatchObject({
    code: "unreadable",
    message: expect.stringMatching(says),
  });
  expect(await logs()).toBe(before);
  expect(readdirSync(tmpDir)).toEqual([]);
});

test("a body that breaks off leaves nothing", async () => {
  const before = await logs();
  async function* broken() {
    yield zipArchive([{ name: "a.csv", text: await textOf(MAY) }]).subarray(0, 100);
    throw new Error("the connection is gone");
  }
  const request = { siteId, loggerName: "main", name: "a.zip", body: broken(), tmpDir };
  await expect(receiveUpload(database, request)).rejects.toThrow("the connection is gone");
  expect(await logs()).toBe(before);
  expect(readdirSync(tmpDir)).toEqual([]);
});
