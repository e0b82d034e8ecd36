import { readFileSync } from "node:fs";
import { openDatabase } from "../../db/open-database";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import type { BenchLog } from "./simulated-log";

/** What the importing process measured of itself. */
export type ImportFigures = { elapsedMs: number; peakRssMb: number; samples: number };

process.once("message", async (request: { url: string; siteId: number; log: BenchLog }) => {
  const database = await openDatabase({ url: request.url });
  const source = await fileLogSource(request.log.path);
  const startedMs = performance.now();
  const outcome = await importLog(database, {
    siteId: request.siteId,
    loggerName: "main",
    source,
    columnMap: request.log.map,
    receivedAtMs: Date.now(),
  });
  if (outcome.kind !== "imported") throw new Error(`import: ${outcome.kind}`);
  if (!outcome.analysed) await runDueJobs(database, { siteId: request.siteId });
  const elapsedMs = performance.now() - startedMs;
  const peakRssMb = peakMemoryMb();
  const figures: ImportFigures = { elapsedMs, peakRssMb, samples: outcome.added };
  process.send?.(figures);
  await database.close();
  process.disconnect();
});

/** Greatest resident memory so far. The system's own count of a child may begin with that of its parent. */
function peakMemoryMb(): number {
  if (process.platform !== "linux") return process.resourceUsage().maxRSS / 1000;
  const kilobytes = /^VmHWM:\s+(\d+) kB/m.exec(readFileSync("/proc/self/status", "utf8"));
  return Number(kilobytes?.[1]) / 1000;
}
