import type { TransactionSql } from "../samples/copy-in";
import { SITE_LOCK } from "./job-lock";

/** How often it is tried. */
const EVERY_MS = 100;

/**
 * Waits its turn among those who change the site's samples; the lock is the transaction's.
 *
 * @throws the signal's reason
 */
export async function lockSite(
  tx: TransactionSql,
  siteId: number,
  signal: AbortSignal | undefined,
): Promise<void> {
  for (;;) {
    signal?.throwIfAborted();
    const [{ locked }] = await tx<{ locked: boolean }[]>`
      select pg_try_advisory_xact_lock(${SITE_LOCK}, ${siteId}) as locked`;
    if (locked) return;
    await new Promise((resolve) => setTimeout(resolve, EVERY_MS));
  }
}
