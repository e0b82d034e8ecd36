import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { countsOf, readMemoryLog } from "./memory-log";

const MAP = { time: { column: "time" }, channels: { loadL1W: { column: "l1" }, loadL2W: { column: "l2" } } };
const at = (i: number) => new Date(Date.UTC(2026, 4, 1, 6, 0, i)).toISOString();
const rows = (n: number, from = 0) =>
  Array.from({ length: n }, (_, i) => `${at(from + i)},${100 + i},${200 + i}`).join("\n");
const log = (body: string) => `time,l1,l2\n${body}\n`;

// They take seconds on a busy machine.
describe("readLog of logs of several batches", { timeout: 60_000 }, () => {
  it("rejects a row of bytes that are no text far into the file, and takes the rows around it", async () => {
    const more = `\n${rows(3, 90_000)}\n`;
    const bytes = Buffer.concat([
      Buffer.from(log(rows(90_000))),
      Buffer.from([0xff, 0xfe, 0]),
      Buffer.from(more),
    ]);
    const { verdict } = await readMemoryLog(bytes, MAP);
    expect(countsOf(verdict)).toMatchObject({ records: 90_004, taken: 90_003, rejected: 1 });
  });

  it.each([
    ["Windows-1252", "latin1"],
    ["UTF-8", "utf8"],
  ] as const)("reads %s that shows far into the file only, however it is cut", async (_, encoding) => {
    const map = { ...MAP, channels: { ...MAP.channels, faultCode: { column: "fault" } } };
    const head = rows(60_000).replaceAll("\n", ",\n");
    const tail = `${at(60_000)},1,2,Übertemperatur\n${at(60_001)},1,2,défaut\n`;
    const bytes = Buffer.from(`time,l1,l2,fault\n${head},\n${tail}`, encoding);
    for (const chunkBytes of [65_536, 999_983, 4093]) {
      const { sink } = await readMemoryLog(bytes, map, { chunkBytes });
      expect(sink.faultWords.map((w) => w.code)).toEqual(["Übertemperatur", "défaut"]);
    }
  });

  it("sorts more rows than it holds in memory, and leaves no file behind", async () => {
    const dir = mkdtempSync(join(tmpdir(), "legroom-test-"));
    try {
      const n = 150_000;
      const lines = Array.from({ length: n }, (_, i) => `${1_777_000_000 + n - i},${i % 1000},1`);
      const map = { ...MAP, time: { column: "time", format: "epoch-s" } };
      const { verdict, sink } = await readMemoryLog(log(lines.join("\n")), map, { tmpDir: dir });
      expect(countsOf(verdict)).toMatchObject({ records: n, taken: n });
      expect(sink.samples.length).toBe(n);
      expect(sink.samples.every((s, i) => s.timeMs === (1_777_000_001 + i) * 1000)).toBe(true);
      expect(sink.samples[0].loadL1W).toBe((n - 1) % 1000);
      expect(readdirSync(dir)).toEqual([]);
    } finally {
      rmSync(dir, { recursive: true, force: true });
    }
  });

  it("survives a never-closed quote in a large file, recovering every other row", async () => {
    const body = `${at(0)},"1,2\n${Array.from({ length: 200_000 }, (_, i) => `${1_777_000_000 + i},1,2`).join("\n")}`;
    const map = { ...MAP, time: { column: "time", format: "epoch-s" } };
    const { verdict } = await readMemoryLog(log(body), map);
    expect(countsOf(verdict)).toMatchObject({ records: 200_001, taken: 200_000, rejected: 1 });
  });

  it("rejects a line of 10 MB as one row and goes on", async () => {
    const { verdict } = await readMemoryLog(log(`${rows(1)}\n${"x".repeat(10_000_000)}\n${rows(2, 1)}`), MAP);
    expect(countsOf(verdict)).toMatchObject({ records: 4, taken: 3, rejected: 1 });
    expect(!verdict.refused && verdict.codes).toEqual({ "row.field-count": 1 });
  });

  it("moves every sample back once, in a log that is sorted and comes in several batches too", async () => {
    const map = { ...MAP, time: { column: "time", stamps: "end" } };
    const lines = rows(20_000).split("\n");
    for (const body of [lines, lines.toReversed()]) {
      const { sink } = await readMemoryLog(log(body.join("\n")), map);
      expect(sink.samples.map((one) => one.timeMs)).toEqual(lines.map((_, i) => Date.parse(at(i)) - 1000));
    }
  });

  it("moves every sample back by the interval at the log's beginning, though it changes later", async () => {
    const map = { ...MAP, time: { column: "time", stamps: "end" } };
    const seconds = Array.from({ length: 12_000 }, (_, i) => (i < 8000 ? i : 8000 + (i - 8000) * 5));
    const { sink } = await readMemoryLog(log(seconds.map((s) => `${at(s)},1,2`).join("\n")), map);
    expect(sink.samples.map((one) => one.timeMs)).toEqual(seconds.map((s) => Date.parse(at(s)) - 1000));
  });

  it("tells a duplicate from a conflict also where a batch ended at that very time", async () => {
    const last = 8191;
    const body = `${rows(last + 1)}\n${at(last)},${100 + last},${200 + last}\n${at(last)},1,2\n${at(last + 1)},1,2`;
    const { verdict } = await readMemoryLog(log(body), MAP);
    expect(countsOf(verdict)).toMatchObject({
      records: last + 4,
      taken: last + 2,
      duplicates: 1,
      conflicts: 1,
    });
    expect(!verdict.refused && verdict.rejects).toMatchObject([{ code: "series.conflict", line: last + 4 }]);
  });
});
