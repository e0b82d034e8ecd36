import { and, asc, desc, eq, gt, lt } from "drizzle-orm";
import type { Transfer } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { transfer } from "../schema/results";
import { RESULT_COLUMNS } from "./result-columns";

/** One transfer with the instants of its neighbours, null at the ends. */
export type TransferWithNeighbours = { transfer: Transfer; beforeMs: number | null; afterMs: number | null };

/** The transfer of a site at an instant; null where there is none at exactly that one. */
export async function transferAt(
  database: Database,
  siteId: number,
  atMs: number,
): Promise<TransferWithNeighbours | null> {
  const [found] = await database.orm
    .select(RESULT_COLUMNS.transfer)
    .from(transfer)
    .where(and(eq(transfer.siteId, siteId), eq(transfer.atMs, atMs)));
  if (found === undefined) return null;
  const [before] = await database.orm
    .select({ atMs: transfer.atMs })
    .from(transfer)
    .where(and(eq(transfer.siteId, siteId), lt(transfer.atMs, atMs)))
    .orderBy(desc(transfer.atMs))
    .limit(1);
  const [after] = await database.orm
    .select({ atMs: transfer.atMs })
    .from(transfer)
    .where(and(eq(transfer.siteId, siteId), gt(transfer.atMs, atMs)))
    .orderBy(asc(transfer.atMs))
    .limit(1);
  return { transfer: found, beforeMs: before?.atMs ?? null, afterMs: after?.atMs ?? null };
}
