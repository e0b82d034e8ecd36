import { type ChosenMap, chooseMap } from "../../src/ingest/choose-map";
import { sniffLog } from "../../src/ingest/sniff-log";
import type { ColumnMapInput } from "../../src/site/column-map-schema";
import type { Database } from "../open-database";
import { keptMaps } from "./kept-maps";

/** What is known of a log that is to be imported. */
export type LogToMap = {
  siteId: number;
  /** The logger that it is of; one without any log so far is fine. */
  loggerName: string;
  name: string;
  /** Its first bytes: SNIFF_BYTES, or all. */
  head: Uint8Array;
  /** A columns.json, whole or part: then no kept map is looked for. */
  given?: ColumnMapInput | null;
  /** True: nothing is inferred, and no kept map looked for. */
  strict?: boolean;
  /** True: that a mapped column is gone is not asked about. */
  acceptShape?: boolean;
  /** When it was received; now without it. */
  receivedAtMs?: number;
  /** Pieces of it from behind its head (`furtherPieces`). */
  further?: readonly Uint8Array[];
  /** Bytes of the whole log, where they are known. */
  sizeBytes?: number | null;
};

/**
 * How a log is to be read, the one way for every way in: by the columns.json that was given with it, by a kept map of
 * its shape, or by inference. There is a map only where nothing is left to ask; `recognition` says what a kept map
 * had to do with it.
 */
export async function mapForLog(database: Pick<Database, "orm">, log: LogToMap): Promise<ChosenMap> {
  const { given = null, strict = false, acceptShape = false, head, name, loggerName } = log;
  const more = {
    receivedAtMs: log.receivedAtMs ?? Date.now(),
    further: log.further,
    sizeBytes: log.sizeBytes,
  };
  if (given !== null || strict) {
    return { sniffed: sniffLog(head, given, { name, strict, ...more }), recognition: null };
  }
  const kept = await keptMaps(database, log.siteId);
  return chooseMap(head, kept, { name, loggerName, strict, acceptShape, ...more });
}
