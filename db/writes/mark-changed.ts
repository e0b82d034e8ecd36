import type { TransactionSql } from "../samples/copy-in";

/**
 * Says that a site's samples were changed: gives them their next revision, and widens the stretch that has changed
 * since the results were last computed.
 *
 * @param fromMs instant of the first sample that was added, removed or changed; null where everything has
 * changed, which is stored as the smallest and the greatest safe integer
 * @param toMs of the last one; null as `fromMs`
 * @returns the new revision of the samples
 */
export async function markChanged(
  tx: TransactionSql,
  siteId: number,
  fromMs: number | null,
  toMs: number | null,
): Promise<number> {
  const all = fromMs === null || toMs === null;
  const from = all ? Number.MIN_SAFE_INTEGER : fromMs;
  const to = all ? Number.MAX_SAFE_INTEGER : toMs;
  const [{ revision }] = await tx<{ revision: number }[]>`
    update site set samples_revision = samples_revision + 1,
      changed_from_ms = least(changed_from_ms, ${from}::bigint), changed_to_ms = greatest(changed_to_ms, ${to}::bigint),
      assess_from_ms = least(assess_from_ms, ${from}::bigint), assess_to_ms = greatest(assess_to_ms, ${to}::bigint)
    where site_id = ${siteId}
    returning samples_revision as revision`;
  return revision;
}
