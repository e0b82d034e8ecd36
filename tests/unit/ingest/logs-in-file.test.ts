import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { type FileHandle, open } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { CONTAINER_BOUNDS } from "../../../src/ingest/container-bounds";
import { logsInFile } from "../../../src/ingest/logs-in-file";
import { readLog } from "../../../src/ingest/read-log";
import { columnMap } from "../../../src/site/column-map";
import { collectingSink, RECEIVED_AT_MS } from "./memory-log";
import { zipArchive } from "./zip-archive";

const MAP = columnMap({ version: 1, time: { column: "time" }, channels: { loadL1W: { column: "l1" } } });
const csv = (from: number, n = 5) =>
  `time,l1\n${Array.from({ length: n }, (_, i) => `${new Date(Date.UTC(2026, 4, 1, 6, 0, from + i)).toISOString()},${from + i}`).join("\n")}\n`;

let folder: string;
let handle: FileHandle | null = null;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "legroom-archive-"));
});
afterEach(async () => {
  await handle?.close();
  handle = null;
  rmSync(folder, { recursive: true });
});

async function opened(bytes: Uint8Array, name = "archive.bin") {
  writeFileSync(join(folder, name), bytes);
  handle = await open(join(folder, name), "r");
  return logsInFile(handle, name, bytes.length);
}

async function logsOf(bytes: Uint8Array, name?: string) {
  const found = await opened(bytes, name);
  if (!found.ok) throw new Error(JSON.stringify(found.refusal));
  return found;
}

async function values(source: Parameters<typeof readLog>[0]) {
  const sink = collectingSink();
  const verdict = await readLog(source, MAP!, { siteZone: "UTC", receivedAtMs: RECEIVED_AT_MS }, sink);
  return verdict.refused ? verdict.problem : sink.samples.map((s) => s.loadL1W);
}

/** The code with which reading the only log of a file ends. */
async function codeOf(bytes: Uint8Array) {
  const found = await opened(bytes);
  if (!found.ok) return found.refusal.code;
  const outcome = await values(found.logs[0]);
  return Array.isArray(outcome) ? "taken" : outcome.code;
}

describe("the logs in a file", () => {
  it("are the file itself where it is text, whatever its name says", async () => {
    const { logs } = await logsOf(Buffer.from(csv(0)), "log.zip");
    expect(logs.map(({ name }) => name)).toEqual(["log.zip"]);
    expect(await values(logs[0])).toEqual([0, 1, 2, 3, 4]);
  });

  it("are what gzip holds, told by its first bytes, also of several members", async () => {
    const bytes = Buffer.concat([gzipSync(csv(0)), gzipSync(csv(5).split("\n").slice(1).join("\n"))]);
    const { logs } = await logsOf(bytes, "log.csv");
    expect(await values(logs[0])).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
    // A second time, as an import reads it.
    expect(await values(logs[0])).toHaveLength(10);
  });

  it("are the entries of a zip archive by name, without folders and what systems put beside them", async () => {
    const { logs, leftOut } = await logsOf(
      zipArchive([
        { name: "b/june.csv", text: csv(5) },
        { name: "a.csv", text: csv(0), method: 0 },
        { name: "b/", text: "", method: 0 },
        { name: "__MACOSX/._a.csv", text: "rubbish" },
        { name: "b/.hidden", text: "rubbish" },
      ]),
      "May.zip",
    );
    expect(logs.map(({ name }) => name)).toEqual(["May.zip/a.csv", "May.zip/b/june.csv"]);
    expect(leftOut).toEqual(["May.zip/__MACOSX/._a.csv", "May.zip/b/.hidden"]);
    expect(await values(logs[0])).toEqual([0, 1, 2, 3, 4]);
    expect(await values(logs[1])).toEqual([5, 6, 7, 8, 9]);
    expect(await values(logs[0])).toEqual([0, 1, 2, 3, 4]);
  });

  it("are named by text that is never followed as a path", async () => {
    const names = ["../../escape.csv", "/etc/absolute.csv", "C:\\windows.csv", "new\nline\u0000.csv"];
    const { logs } = await logsOf(zipArchive(names.map((name) => ({ name, text: csv(0) }))), "z.zip");
    expect(logs.map(({ name }) => name)).toEqual([
      "z.zip/../../escape.csv",
      "z.zip//etc/absolute.csv",
      "z.zip/C:/windows.csv",
      "z.zip/new\u{fffd}line\u{fffd}.csv",
    ]);
    for (const log of logs) expect(await values(log)).toHaveLength(5);
    // Nothing was unpacked to disk.
    expect(readdirSync(folder)).toEqual(["z.zip"]);
    expect(readdirSync(join(folder, ".."))).not.toContain("escape.csv");
  });

  it.each<[string, string, () => Uint8Array]>([
    ["a gzip file that was cut off", "file.archive-damaged", () => gzipSync(csv(0, 5000)).subarray(0, 9000)],
    [
      "a gzip file with a changed byte",
      "file.archive-damaged",
      () => {
        const bytes = gzipSync(csv(0, 5000));
        bytes[bytes.length >> 1] ^= 0xff;
        return bytes;
      },
    ],
    ["gzip in gzip", "file.archive-nested", () => gzipSync(gzipSync(csv(0)))],
    ["a zip in a zip", "file.archive-nested", () => zipArchive([{ name: "in.zip", text: zipArchive([]) }])],
    ["gzip in a zip", "file.archive-nested", () => zipArchive([{ name: "a.gz", text: gzipSync(csv(0)) }])],
    [
      "a zip that was cut off",
      "file.archive-damaged",
      () => zipArchive([{ name: "a.csv", text: csv(0) }]).subarray(0, 90),
    ],
    ["an empty zip", "file.empty", () => zipArchive([])],
    [
      "an encrypted entry",
      "file.archive-encrypted",
      () => zipArchive([{ name: "a.csv", text: csv(0), flags: 1 }]),
    ],
    [
      "an entry packed otherwise",
      "file.archive-damaged",
      () => zipArchive([{ name: "a.csv", text: csv(0), method: 14 }]),
    ],
    [
      "an entry whose checksum is another",
      "file.archive-damaged",
      () => zipArchive([{ name: "a.csv", text: csv(0), crc: 7 }]),
    ],
    [
      "an entry that is longer than it says",
      "file.archive-damaged",
      () => zipArchive([{ name: "a.csv", text: csv(0, 100), unpackedBytes: 50 }]),
    ],
    [
      "a workbook",
      "file.not-a-table",
      () =>
        zipArchive([
          { name: "[Content_Types].xml", text: "<x/>" },
          { name: "xl/workbook.xml", text: "<x/>" },
        ]),
    ],
    [
      "more entries than it may have",
      "file.archive-too-large",
      () =>
        zipArchive(
          Array.from({ length: CONTAINER_BOUNDS.entries + 1 }, (_, i) => ({ name: `${i}.csv`, text: "a" })),
        ),
    ],
    [
      "entries that share their bytes",
      "file.archive-damaged",
      () => {
        const text = csv(0, 2000);
        return zipArchive(
          Array.from({ length: 50 }, (_, i) => ({ name: `${i}.csv`, text, ...(i > 0 ? { at: 0 } : {}) })),
        );
      },
    ],
    [
      "a zip that says it unpacks to a thousand times its size",
      "file.archive-too-large",
      () => zipArchive([{ name: "zeros.csv", text: Buffer.alloc(80 << 20) }]),
    ],
  ])("are refused where it is %s: %s", async (_, code, bytes) => {
    expect(await codeOf(bytes())).toBe(code);
  });

  it("are refused where gzip unpacks to a thousand times its size, long before all of it came out", async () => {
    const row = `2026-05-01T06:00:00Z,${"1".repeat(1000)}\n`;
    const packed = gzipSync(Buffer.concat([Buffer.from("time,l1\n"), Buffer.alloc(200 << 20, row)]));
    expect(packed.length).toBeLessThan(2 << 20);
    const { logs } = await logsOf(packed);
    let out = 0;
    const read = async () => {
      for await (const bytes of logs[0].open()) out += bytes.byteLength;
    };
    await expect(read()).rejects.toMatchObject({ refusal: { code: "file.archive-too-large" } });
    expect(out).toBeLessThan(2 * CONTAINER_BOUNDS.ratioFromBytes);
    expect(await codeOf(packed)).toBe("file.archive-too-large");
  });
});
