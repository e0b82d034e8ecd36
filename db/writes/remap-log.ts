import type { ColumnMap } from "../../src/site/column-map";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { logsOfShape } from "../queries/logs-of-shape";
import { storedLogSource } from "../queries/stored-log-source";
import { changeFold, type FoldOutcome } from "./change-fold";
import type { FoldOptions } from "./in-fold-transaction";
import { keepMap } from "./keep-map";
import { storableJson } from "./storable-json";

/** Where a map comes from. */
export type MapOrigin = {
  /** What it was inferred from, kept beside it; null where it was given. */
  evidence?: unknown;
  /** Choices of the map that were inferred ("time", channels): the rejects say so. */
  guessed?: readonly string[];
  /** True: the logger's other imported logs of the same shape are read with it, too. */
  allOfShape?: boolean;
};

/**
 * Reads an imported log again with another column map, at its old position. A map with which nothing of it can be
 * taken is refused, and changes nothing. The map is kept for later logs of this shape. With `allOfShape` all of them
 * are read again together: where one of them can't be, nothing is changed.
 *
 * @param columnMap complete, nothing left to infer
 * @throws AppError not-found, conflict where the log isn't imported, cancelled, disk-full, server-unreachable: nothing
 * is changed then
 */
export async function remapLog(
  database: Database,
  siteId: number,
  logId: number,
  columnMap: ColumnMap,
  { evidence = null, guessed = [], allOfShape = false, ...options }: MapOrigin & FoldOptions = {},
): Promise<FoldOutcome> {
  return changeFold(database, siteId, logId, options, async (tx, log) => {
    if (log.state === "withdrawn") {
      throw new AppError("conflict", `"${log.name}" is withdrawn. Restore it, then give it another map.`);
    }
    if (log.state !== "imported") {
      throw new AppError("conflict", `"${log.name}" isn't imported. Import it with this map.`);
    }
    const { loggerId } = log;
    const source = storedLogSource(database, siteId, log);
    const others = allOfShape
      ? await logsOfShape(database, siteId, { ...log, timeColumn: columnMap.time.column })
      : [];
    const remapped = [logId, ...others];
    await tx`
      update log set column_map = ${storableJson(columnMap)}::text::jsonb,
        evidence = ${storableJson(evidence)}::text::jsonb, guessed = ${[...guessed]}
      where site_id = ${siteId} and log_id = any(${remapped}::int[])`;
    await keepMap(tx, { siteId, loggerId, source, map: columnMap, guessed });
    return { remapped };
  });
}
