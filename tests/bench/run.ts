import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openDatabase } from "../../db/open-database";
import { joinServer } from "../../db/server/join-server";
import type { NumericChannel, Series } from "../../src/analysis/series";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { readLog } from "../../src/ingest/read-log";
import { analysisBench } from "./analysis-bench";
import type { BenchLine } from "./bench-line";
import { grownBench } from "./grown-bench";
import { importBench, importMemoryBench } from "./import-bench";
import { memoryBench } from "./memory-bench";
import { recomputeBench } from "./recompute-bench";
import { reviewBench } from "./review-bench";
import { screenBench } from "./screen-bench";
import { type BenchLog, simulatedLog } from "./simulated-log";
import { sniffBench } from "./sniff-bench";

// Ratios and not seconds, since machines differ: every figure is held against work on the same machine in the
// same run. Ends with 1 where one is over its limit. `--short` leaves the six months out.

/** Source and fault code: the columns of the simulated log that hold words. */
const TEXT_COLUMNS = new Set([10, 11]);

const folder = mkdtempSync(join(tmpdir(), "legroom-bench-"));
const dataDir = mkdtempSync(join(tmpdir(), "legroom-bench-data-"));
let over = false;
try {
  const month = await simulatedLog(join(folder, "month"), 30);
  console.log(`a simulated month at one second: ${month.rows} rows, ${(month.bytes / 1e6).toFixed(0)} MB`);
  report(analysisBench(await inMemory(month), month.site));
  report(await reviewBench(month, TEXT_COLUMNS));
  report(await sniffBench(month.path, folder, TEXT_COLUMNS));
  report(await screenBench(month));
  const one = await memoryBench(month, "one month");
  report(one);
  // As root the server runs as another user, who can't enter a folder of ours but can own one of its own.
  const server = await joinServer({ dataDir });
  try {
    const database = await openDatabase({ url: server.url });
    const lines = await importBench(database, month);
    report(lines);
    report(await grownBench(database, month));
    report(await recomputeBench(database, join(folder, "year")));
    if (!process.argv.includes("--short")) {
      const six = await simulatedLog(join(folder, "six"), 180);
      const long = await memoryBench(six, "six months");
      report(long);
      report([
        {
          name: "memory of all Node processes of serve, six months against one",
          value: long[0].value / one[0].value,
          limit: 1.15,
          unit: "×",
          from: `${long[0].value.toFixed(0)} MB against ${one[0].value.toFixed(0)} MB`,
        },
      ]);
      report(await importMemoryBench(database, six, lines.find((line) => line.unit === "MB")!.value));
    }
    await database.close();
  } finally {
    await server.leave();
  }
} finally {
  for (const made of [folder, dataDir]) rmSync(made, { recursive: true, force: true });
}
process.exitCode = over ? 1 : 0;

function report(lines: readonly BenchLine[]): void {
  for (const { name, value, limit, unit, from } of lines) {
    over ||= value > limit;
    const digits = unit === "MB" ? 0 : 2;
    const verdict = value > limit ? "OVER" : "ok";
    console.log(
      `${verdict.padEnd(5)}${name}: ${value.toFixed(digits)} ${unit} (limit ${limit} ${unit}; ${from})`,
    );
  }
}

/** The whole log as one series. */
async function inMemory(log: BenchLog): Promise<Series> {
  const timesMs = new Float64Array(log.rows);
  const sources = new Uint8Array(log.rows);
  const faults = new Uint16Array(log.rows);
  const channels: Partial<Record<NumericChannel, Float32Array>> = {};
  let count = 0;
  await readLog(
    await fileLogSource(log.path),
    log.map,
    { siteZone: log.site.timezone, receivedAtMs: Date.now() },
    {
      async begin(shape) {
        for (const channel of shape.channels) channels[channel] = new Float32Array(log.rows);
      },
      async batch(batch) {
        timesMs.set(batch.timesMs, count);
        if (batch.sources !== null) sources.set(batch.sources, count);
        if (batch.faults !== null) faults.set(batch.faults, count);
        for (const [channel, values] of Object.entries(channels)) {
          values.set(batch.channels[channel as NumericChannel]!, count);
        }
        count += batch.timesMs.length;
      },
      async restart() {
        throw new Error("a simulated log is in order");
      },
      async end() {
        return { duplicates: 0, conflicts: 0, conflictLines: [] };
      },
    },
  );
  if (count !== log.rows) throw new Error(`${count} of ${log.rows} rows were read`);
  return { timesMs, channels, sources, faults };
}
