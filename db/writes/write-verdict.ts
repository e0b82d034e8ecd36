import type { LogVerdict } from "../../src/ingest/log-verdict";
import type { FirstStamps } from "../../src/ingest/read-log";
import type { TransactionSql } from "../samples/copy-in";
import { insertRejects } from "./insert-rejects";
import { storableJson } from "./storable-json";

/** What came of reading a log into the fold. */
export type LogReading = {
  siteId: number;
  logId: number;
  verdict: Extract<LogVerdict, { refused: false }>;
  /** Instants of its first and last sample, null where it has none. */
  span: { firstMs: number; lastMs: number } | null;
  first: FirstStamps | null;
  /** The site's zone as it was read. */
  siteZone: string;
};

/** Writes a log's verdict, span and rejects, in place of those of an earlier reading. */
export async function writeVerdict(tx: TransactionSql, reading: LogReading): Promise<void> {
  const { siteId, logId, verdict, span, first, siteZone } = reading;
  const { rejects, ...kept } = verdict;
  await tx`
    update log set verdict = ${storableJson(kept)}::text::jsonb,
      first_ms = ${span?.firstMs ?? null}, last_ms = ${span?.lastMs ?? null},
      shift_ms = ${first?.shiftMs ?? 0}, site_zone = ${siteZone},
      first_stamps_ms = ${`{${first === null ? "" : first.stampsMs.join()}}`}::text::bigint[]
    where site_id = ${siteId} and log_id = ${logId}`;
  await tx`delete from reject where site_id = ${siteId} and log_id = ${logId}`;
  await insertRejects(tx, siteId, logId, rejects, 0);
}
