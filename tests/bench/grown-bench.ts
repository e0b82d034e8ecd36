import { appendFileSync, copyFileSync, openSync, readSync, truncateSync } from "node:fs";
import type { Database } from "../../db/open-database";
import { addSite } from "../../db/writes/add-site";
import { importGrownLog } from "../../db/writes/import-grown-log";
import { importLog } from "../../db/writes/import-log";
import { runDueJobs } from "../../db/writes/run-due-jobs";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { type BenchLine, median } from "./bench-line";
import type { BenchLog } from "./simulated-log";

const GROWTHS = 11;
const ROWS = 60;
/** More than so many rows are long. */
const END_BYTES = 256 * 1024;

type Cost = { wallMs: number; cpuMs: number };

/**
 * A month at one second that grows by 60 rows, again and again, to the new rows stored and the raw log grown, against
 * its import; by wall clock and by CPU time of this process, of which the worse counts. The first growth goes another
 * way than the others in no respect, but is left out for what the engine compiles in it.
 */
export async function grownBench(database: Database, month: BenchLog): Promise<BenchLine[]> {
  const path = `${month.path}.growing.csv`;
  copyFileSync(month.path, path);
  const growths = lastRows(path, month.bytes, GROWTHS * ROWS);
  truncateSync(path, month.bytes - growths.join("").length);
  const { siteId } = await addSite(database, { ...(month.siteJson as object), name: "A log that grows" });
  const request = { siteId, loggerName: "main", receivedAtMs: Date.now() };
  const full = await costOf(async () => {
    const source = await fileLogSource(path);
    const outcome = await importLog(database, { ...request, source, columnMap: month.map });
    if (outcome.kind !== "imported" || !outcome.analysed) throw new Error(`import: ${outcome.kind}`);
  });
  await runDueJobs(database, { siteId });
  const grown: Cost[] = [];
  const results: Cost[] = [];
  for (const text of growths) {
    appendFileSync(path, text);
    grown.push(
      await costOf(async () => {
        const outcome = await importGrownLog(database, { ...request, source: await fileLogSource(path) });
        if (outcome?.kind !== "imported" || outcome.added !== ROWS)
          throw new Error(`grown: ${JSON.stringify(outcome)?.slice(0, 300)}`);
      }),
    );
    results.push(await costOf(() => runDueJobs(database, { siteId })));
  }
  const middle = (costs: readonly Cost[], of: keyof Cost) => median(costs.slice(1).map((cost) => cost[of]));
  const wall = middle(grown, "wallMs") / full.wallMs;
  const cpu = middle(grown, "cpuMs") / full.cpuMs;
  const figures = (of: keyof Cost) => grown.map((cost) => cost[of].toFixed(0)).join(" ");
  return [
    {
      name: "60 rows that a month at one second has grown by, against its import",
      value: Math.max(wall, cpu),
      limit: 0.01,
      unit: "×",
      from:
        `${(wall * 100).toFixed(2)} % by the clock, ${(cpu * 100).toFixed(2)} % of CPU: ${figures("wallMs")} ms, CPU ${figures("cpuMs")} ms; ` +
        `import ${full.wallMs.toFixed(0)} ms, CPU ${full.cpuMs.toFixed(0)} ms; results of the day anew ${middle(results, "wallMs").toFixed(0)} ms`,
    },
  ];
}

async function costOf(work: () => Promise<unknown>): Promise<Cost> {
  const cpu = process.cpuUsage();
  const began = performance.now();
  await work();
  const wallMs = performance.now() - began;
  const { user, system } = process.cpuUsage(cpu);
  return { wallMs, cpuMs: (user + system) / 1000 };
}

/** The last rows of a file, in pieces of ROWS. */
function lastRows(path: string, bytes: number, rows: number): string[] {
  const end = Buffer.alloc(END_BYTES);
  readSync(openSync(path, "r"), end, 0, END_BYTES, bytes - END_BYTES);
  const lines = end.toString("latin1").trimEnd().split("\n").slice(-rows);
  if (lines.length !== rows) throw new Error("the end of the log has fewer rows");
  return Array.from(
    { length: rows / ROWS },
    (_, i) => `${lines.slice(i * ROWS, (i + 1) * ROWS).join("\n")}\n`,
  );
}
