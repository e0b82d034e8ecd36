import type { RejectedRow } from "../../src/ingest/rejects";
import type { TransactionSql } from "../samples/copy-in";

/** Rows an insert. */
const ROWS = 2000;

/** Stores rejected rows and cells of a log, numbered from `firstOrdinal` on. */
export async function insertRejects(
  tx: TransactionSql,
  siteId: number,
  logId: number,
  rejects: readonly RejectedRow[],
  firstOrdinal: number,
): Promise<void> {
  for (let from = 0; from < rejects.length; from += ROWS) {
    const rows = rejects.slice(from, from + ROWS).map((reject, index) => ({
      site_id: siteId,
      log_id: logId,
      ordinal: firstOrdinal + from + index,
      line: reject.line,
      column_no: reject.column,
      column_name: reject.columnName === null ? null : storable(reject.columnName),
      code: reject.code,
      text: storable(reject.text),
      guessed: reject.rule === "guessed",
    }));
    await tx`insert into reject ${tx(rows)}`;
  }
}

/** PostgreSQL's text can't hold the character U+0000. */
function storable(text: string): string {
  return text.replaceAll("\0", "\u{fffd}");
}
