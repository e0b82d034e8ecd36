import type { Database } from "../../db/open-database";
import { mapForLog } from "../../db/queries/map-for-log";
import type { SiteRow } from "../../db/queries/site-by-slug";
import type { ImportOptions } from "../../db/writes/import-log";
import type { ChosenMap } from "../../src/ingest/choose-map";

/** What of a log says how it is read: its head, and where it is longer pieces from further in and its length. */
export type LogToSettle = {
  name: string;
  loggerName: string;
  head: Uint8Array;
  further?: readonly Uint8Array[];
  sizeBytes?: number;
};

/** How a log is imported where nothing is left to ask. */
export type HowToRead = Pick<ImportOptions, "columnMap" | "guessed"> & { evidence: unknown };

/** How a log that came by the API is read, by the kept map of its shape or by inference; `how` is null where it isn't settled. */
export async function settleLog(
  database: Database,
  { siteId }: SiteRow,
  { name, loggerName, head, further, sizeBytes }: LogToSettle,
): Promise<{ chosen: ChosenMap; how: HowToRead | null }> {
  const chosen = await mapForLog(database, { siteId, name, loggerName, head, further, sizeBytes });
  const { map } = chosen.sniffed;
  return { chosen, how: map === null ? null : howToRead(chosen, map) };
}

/** What an import is told of how its log is read. */
export function howToRead({ sniffed, recognition }: ChosenMap, map: ImportOptions["columnMap"]): HowToRead {
  // What a kept map stands on stands with the log that it came with.
  const evidence = recognition?.kind === "same" ? null : sniffed.evidence;
  return { columnMap: map, evidence, guessed: [...sniffed.guessed] };
}
