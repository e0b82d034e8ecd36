import { createReadStream, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { type Database, openDatabase } from "../../db/open-database";
import { monthResults } from "../../db/queries/month-results";
import { programRoot } from "../../db/server/program-root";
import { addSite } from "../../db/writes/add-site";
import { importLog } from "../../db/writes/import-log";
import { recompute } from "../../db/writes/recompute";
import { fileLogSource } from "../../src/ingest/file-log-source";
import { runSimulation } from "../../src/simulate/write-log";
import { type ColumnMap, columnMap } from "../../src/site/column-map";
import { parseColumnMap } from "../../src/site/parse-column-map";
import { type BenchLine, median } from "./bench-line";

const HISTORY_DAYS = 365;
const APPENDED_DAYS = 7;
const SHORT_DAYS = 36;
const ROWS_A_DAY = 1440;

/**
 * A year at one minute: a day appended to it, recomputed, against a recompute of the whole; and what the query
 * of a month touches, against the same month of a history a tenth as long.
 */
export async function recomputeBench(database: Database, folder: string): Promise<BenchLine[]> {
  const log = await simulatedYear(folder);
  const { siteId } = await addSite(database, { ...log.site, name: "A year" });
  await importPart(database, siteId, log, 0, HISTORY_DAYS);
  await recompute(database, siteId);
  const appended: number[] = [];
  const whole: number[] = [];
  const ratios: number[] = [];
  for (let day = HISTORY_DAYS; day < HISTORY_DAYS + APPENDED_DAYS; day++) {
    await importPart(database, siteId, log, day, day + 1);
    const dayMs = await timed(async () => {
      const { samples } = await recompute(database, siteId);
      if (samples > 3 * ROWS_A_DAY) throw new Error(`a day appended went over ${samples} samples`);
    });
    const wholeMs = await timed(() => recompute(database, siteId, { whole: true }));
    if (day === HISTORY_DAYS) continue;
    appended.push(dayMs);
    whole.push(wholeMs);
    ratios.push(dayMs / wholeMs);
  }
  const short = await addSite(database, { ...log.site, name: "A tenth" });
  await importPart(database, short.siteId, log, 0, SHORT_DAYS);
  await recompute(database, short.siteId);
  const month = log.month;
  const longBuffers = await buffersOf(database, siteId, month);
  const shortBuffers = await buffersOf(database, short.siteId, month);
  const ms = (values: number[]) => values.map((value) => value.toFixed(0)).join(" ");
  return [
    {
      name: "a day appended to a year at one minute, against a whole recompute",
      value: median(ratios),
      limit: 0.02,
      unit: "×",
      from: `a day ${ms(appended)} ms, the whole ${ms(whole)} ms`,
    },
    {
      name: "buffers of the Month query, a year of history against a tenth of it",
      value: longBuffers / shortBuffers,
      // A page or two either way: rows fall on pages as they do, and a small table is read as a whole.
      limit: 1.05,
      unit: "×",
      from: `${longBuffers} against ${shortBuffers}`,
    },
  ];
}

type Year = { header: string; lines: string[]; map: ColumnMap; site: object; month: string; folder: string };

async function simulatedYear(folder: string): Promise<Year> {
  const path = join(programRoot(), "sample-logs", "alder-creek-pottery", "two-days", "scenario.json");
  const scenario = JSON.parse(readFileSync(path, "utf8"));
  const outcome = await runSimulation(
    {
      ...scenario,
      from: "2025-04-01",
      days: HISTORY_DAYS + APPENDED_DAYS,
      log: { ...scenario.log, intervalS: 60 },
    },
    folder,
  );
  if (!outcome.ok) throw new Error(outcome.problems.map((problem) => problem.message).join(" "));
  const columns = parseColumnMap(JSON.parse(readFileSync(outcome.files.columns, "utf8")));
  const map = columns.ok ? columnMap(columns.map) : null;
  if (map === null) throw new Error("the simulation's columns.json can't be read");
  const lines: string[] = [];
  for await (const line of createInterface({ input: createReadStream(outcome.files.log) })) lines.push(line);
  const site = JSON.parse(readFileSync(outcome.files.site, "utf8"));
  return { header: lines[0], lines: lines.slice(1), map, site, month: "2025-04", folder };
}

async function importPart(
  database: Database,
  siteId: number,
  log: Year,
  fromDay: number,
  toDay: number,
): Promise<void> {
  const path = join(log.folder, `days-${fromDay}-${toDay}.csv`);
  writeFileSync(
    path,
    [log.header, ...log.lines.slice(fromDay * ROWS_A_DAY, toDay * ROWS_A_DAY), ""].join("\n"),
  );
  const outcome = await importLog(database, {
    siteId,
    loggerName: "main",
    source: await fileLogSource(path),
    columnMap: log.map,
    receivedAtMs: Date.now(),
  });
  if (outcome.kind !== "imported") throw new Error(`days ${fromDay} to ${toDay} were not imported`);
}

async function timed(work: () => Promise<unknown>): Promise<number> {
  const began = performance.now();
  await work();
  return performance.now() - began;
}

/** Blocks of tables and indexes, found in the cache or read, that one query of a month touches. */
async function buffersOf(database: Database, siteId: number, month: string): Promise<number> {
  const own = await openDatabase({ url: database.url, max: 1 });
  try {
    const touched = async () => {
      await own.sql`select pg_stat_force_next_flush()`;
      const [{ blocks }] = await own.sql<{ blocks: number }[]>`
        select sum(coalesce(heap_blks_hit, 0) + coalesce(heap_blks_read, 0) + coalesce(idx_blks_hit, 0)
          + coalesce(idx_blks_read, 0) + coalesce(toast_blks_hit, 0) + coalesce(toast_blks_read, 0)
          + coalesce(tidx_blks_hit, 0) + coalesce(tidx_blks_read, 0))::float8 as blocks from pg_statio_user_tables`;
      return blocks;
    };
    await own.sql`vacuum analyze`;
    await monthResults(own, siteId, month);
    const before = await touched();
    const results = await monthResults(own, siteId, month);
    if (results?.days.length !== 30) throw new Error(`the month has ${results?.days.length} days`);
    return (await touched()) - before;
  } finally {
    await own.close();
  }
}
