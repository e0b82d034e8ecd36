import type { LogVerdict } from "../../src/ingest/log-verdict";
import type { FirstStamps } from "../../src/ingest/read-log";
import type { RejectedRow } from "../../src/ingest/rejects";
import type { TransactionSql } from "../samples/copy-in";
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

/** Rows an insert. */
const ROWS = 2000;

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
  for (let from = 0; from < rejects.length; from += ROWS) {
    const rows = rejects
      .slice(from, from + ROWS)
      .map((reject, index) => rowOf(reading, reject, from + index));
    await tx`insert into reject ${tx(rows)}`;
  }
}

function rowOf({ siteId, logId }: LogReading, reject: RejectedRow, ordinal: number) {
  return {
    site_id: siteId,
    log_id: logId,
    ordinal,
    line: reject.line,
    column_no: reject.column,
    column_name: reject.columnName === null ? null : storable(reject.columnName),
    code: reject.code,
    text: storable(reject.text),
    guessed: reject.rule === "guessed",
  };
}

/** PostgreSQL's text can't hold the character U+0000. */
function storable(text: string): string {
  return text.replaceAll("\0", "\u{fffd}");
}
