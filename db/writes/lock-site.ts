import postgres from "postgres";
import type { TransactionSql } from "../samples/copy-in";
import { SITE_LOCK } from "./job-lock";

/** How often a signal is looked at while another one holds the lock. */
const LOOK_EVERY_MS = 500;

const LOCK_NOT_AVAILABLE = "55P03";

/**
 * Waits its turn among those who change the site's samples; the lock is the transaction's. Whoever waits is let in by
 * the server as soon as the one before has ended.
 *
 * @throws the signal's reason
 */
export async function lockSite(
  tx: TransactionSql,
  siteId: number,
  signal: AbortSignal | undefined,
): Promise<void> {
  signal?.throwIfAborted();
  const [{ locked }] = await tx<{ locked: boolean }[]>`
    select pg_try_advisory_xact_lock(${SITE_LOCK}, ${siteId}) as locked`;
  if (locked) return;
  while (!(await waitForSite(tx, siteId))) signal?.throwIfAborted();
}

/** Waits a while; false where the lock is still another's. */
async function waitForSite(tx: TransactionSql, siteId: number): Promise<boolean> {
  try {
    // A wait that ends in vain breaks the transaction off up to here.
    await tx.savepoint(async (inner) => {
      await inner.unsafe(`set local lock_timeout = ${LOOK_EVERY_MS}`);
      await inner`select pg_advisory_xact_lock(${SITE_LOCK}, ${siteId})`;
      await inner`set local lock_timeout to default`;
    });
    return true;
  } catch (error) {
    if (error instanceof postgres.PostgresError && error.code === LOCK_NOT_AVAILABLE) return false;
    throw error;
  }
}
