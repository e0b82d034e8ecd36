import { readFileSync } from "node:fs";
import { join } from "node:path";
import { programRoot } from "../../db/server/program-root";
import { runSimulation } from "../../src/simulate/write-log";
import { type ColumnMap, columnMap } from "../../src/site/column-map";
import { parseColumnMap } from "../../src/site/parse-column-map";
import { parseSite, type Site } from "../../src/site/parse-site";

/** A log to measure with, and how it is read. */
export type BenchLog = {
  path: string;
  rows: number;
  bytes: number;
  map: ColumnMap;
  site: Site;
  /** site.json as written. */
  siteJson: unknown;
};

/** Simulates Alder Creek Pottery at one second, 13 columns, for so many days, into a folder. */
export async function simulatedLog(folder: string, days: number): Promise<BenchLog> {
  const scenario = join(programRoot(), "sample-logs", "alder-creek-pottery", "two-days", "scenario.json");
  const outcome = await runSimulation(
    { ...(readJson(scenario) as object), from: "2026-05-01", days },
    folder,
  );
  if (!outcome.ok) throw new Error(outcome.problems.map((problem) => problem.message).join(" "));
  const siteJson = readJson(outcome.files.site);
  const site = parseSite(siteJson);
  const columns = parseColumnMap(readJson(outcome.files.columns));
  const map = columns.ok ? columnMap(columns.map) : null;
  if (!site.ok || map === null) throw new Error("the simulation's site.json or columns.json can't be read");
  return {
    path: outcome.files.log,
    rows: outcome.rows,
    bytes: outcome.bytes,
    map,
    site: site.site,
    siteJson,
  };
}

function readJson(path: string): unknown {
  return JSON.parse(readFileSync(path, "utf8"));
}
