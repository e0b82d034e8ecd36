import type { TransactionSql } from "./copy-in";

/** Stamps that the nominal interval of a fold is taken from (definitions D1). */
const FIRST_STAMPS = 1000;

/** Logs of the first look, of the next ones, and the most of one look. */
const FIRST_LOGS = 8;
const TIMES_MORE = 8;
const MOST_LOGS = 1024;

/**
 * The first 1,000 distinct stamps of all of a logger's active logs, as they were written, ascending: all that
 * `foldNominalMs` takes from them. Logs that were imported before stamps were kept have none.
 *
 * Logs are looked at in the order of their first samples and only as far as needed: a log's stamps can't lie before
 * its first sample, which is moved back from its stamp if at all. So many thousands of small logs cost no more than one
 * thousand.
 */
export async function foldStamps(
  tx: TransactionSql,
  { siteId, loggerId }: { siteId: number; loggerId: number },
): Promise<Float64Array> {
  let stamps = new Float64Array(0);
  let after = { firstMs: Number.MIN_SAFE_INTEGER, logId: 0 };
  for (let limit = FIRST_LOGS; ; limit = Math.min(MOST_LOGS, limit * TIMES_MORE)) {
    const rows = await tx<{ firstMs: number; logId: number; stamps: number[] }[]>`
      select first_ms as "firstMs", log_id as "logId", first_stamps_ms as stamps from log
      where site_id = ${siteId} and logger_id = ${loggerId} and state = 'imported' and first_stamps_ms is not null
        and first_ms >= ${after.firstMs} and (first_ms, log_id) > (${after.firstMs}, ${after.logId})
      order by first_ms, log_id limit ${limit}`;
    const distinct = new Set(stamps);
    for (const row of rows) for (const stamp of row.stamps) distinct.add(stamp);
    stamps = Float64Array.from(distinct).sort().subarray(0, FIRST_STAMPS);
    const last = rows.at(-1);
    if (last === undefined || rows.length < limit) return stamps;
    if (stamps.length === FIRST_STAMPS && last.firstMs >= stamps[FIRST_STAMPS - 1]) return stamps;
    after = last;
  }
}
