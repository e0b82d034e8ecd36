import type { TransactionSql } from "../samples/copy-in";

/**
 * Whether every active log of a logger stands as it was read: in the site's present zone, and with end stamps moved by
 * the interval that the fold's stamps have now. Otherwise `refold` has to look for those that don't.
 *
 * Each question is answered by the ends of an index, so that it costs the same for one log and for a hundred thousand.
 *
 * @param nominalMs of the stamps of all active logs; null under two
 */
export async function standsAsRead(
  tx: TransactionSql,
  { siteId, loggerId, siteZone }: { siteId: number; loggerId: number; siteZone: string },
  nominalMs: number | null,
): Promise<boolean> {
  const shiftMs = Math.round(nominalMs ?? 0);
  const [{ shifted, rezoned, unknown }] = await tx<
    { shifted: boolean; rezoned: boolean; unknown: boolean }[]
  >`
    with end_stamps as not materialized (
      select shift_ms from log where site_id = ${siteId} and logger_id = ${loggerId}
        and state = 'imported' and column_map -> 'time' ->> 'stamps' = 'end'),
    of_site_zone as not materialized (
      select site_zone from log where site_id = ${siteId} and logger_id = ${loggerId}
        and state = 'imported' and column_map -> 'time' ->> 'zone' = 'site')
    select
      exists (select from end_stamps where shift_ms is null)
        or coalesce((select min(shift_ms) from end_stamps) <> ${shiftMs}::bigint
          or (select max(shift_ms) from end_stamps) <> ${shiftMs}::bigint, false) as shifted,
      coalesce((select min(site_zone) from of_site_zone) <> ${siteZone}
        or (select max(site_zone) from of_site_zone) <> ${siteZone}, false) as rezoned,
      exists (select from log where site_id = ${siteId} and logger_id = ${loggerId}
        and state = 'imported' and first_stamps_ms is null) as unknown`;
  return !shifted && !rezoned && !unknown;
}
