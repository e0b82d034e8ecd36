import type { Note } from "../analysis/results";
import type { LogSource } from "../ingest/log-source";
import { HEAD_BYTES } from "../ingest/read-log";
import { type ColumnMap, columnMap } from "../site/column-map";
import type { ColumnMapInput } from "../site/column-map-schema";
import { parseColumnMap } from "../site/parse-column-map";
import { CommandError } from "./command-error";
import { readJsonFile } from "./read-json-file";

/** A log with the map it is read by, and where that came from. */
export type MapLogResult = {
  source: LogSource;
  map: ColumnMap;
  guessed: ReadonlySet<string>;
  evidence: unknown;
  notes: Note[];
};

export async function mapLog(
  source: LogSource,
  columnsPath: string | undefined,
  _options: { strict: boolean; siteZone: string; receivedAtMs: number },
): Promise<MapLogResult> {
  const given = columnsPath === undefined ? null : await readColumnMapFile(columnsPath);
  const map = given === null ? null : columnMap(given);
  if (map === null) throw new CommandError(1, "no map");
  return { source, map, guessed: new Set(), evidence: null, notes: [] };
}
export async function sniffFile(
  source: LogSource,
  columnsPath: string | undefined,
  strict: boolean,
): Promise<any> {
  void HEAD_BYTES;
  void source;
  void columnsPath;
  void strict;
}

async function readColumnMapFile(path: string): Promise<ColumnMapInput> {
  const parsed = parseColumnMap(await readJsonFile(path, "columns.json"));
  if (parsed.ok) return parsed.map;
  throw new CommandError(
    1,
    `The column map in ${path} is refused.`,
    parsed.problems.map((problem) => `${problem.message} ${problem.hint}`),
  );
}
