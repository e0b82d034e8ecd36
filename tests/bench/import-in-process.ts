import { openDatabase } from "../../db/open-database";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import type { ColumnMap } from "../../src/site/column-map";
import type { BenchLog } from "./import-bench";

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
    columnMap: request.log.columnMap as ColumnMap,
    receivedAtMs: Date.now(),
  });
  if (outcome.kind !== "imported") throw new Error(`import: ${outcome.kind}`);
  if (!outcome.analysed) await runDueJobs(database, { siteId: request.siteId });
  const elapsedMs = performance.now() - startedMs;
  // maxRSS is in kilobytes.
  const peakRssMb = process.resourceUsage().maxRSS / 1000;
  const figures: ImportFigures = { elapsedMs, peakRssMb, samples: outcome.added };
  process.send?.(figures);
  await database.close();
  process.disconnect();
});
