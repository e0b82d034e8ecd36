import type { TransactionSql } from "../samples/copy-in";
import { CONTENT_LOCK } from "./job-lock";

/**
 * Waits its turn among those who make a log of the same content of one logger, so that whoever comes second finds it;
 * the lock is the transaction's. Whoever also holds the site's lock has taken that one first.
 */
export async function lockContent(tx: TransactionSql, loggerId: number, sha256: string): Promise<void> {
  await tx`select pg_advisory_xact_lock(${CONTENT_LOCK}, hashtext(${`${loggerId} ${sha256}`}))`;
}
