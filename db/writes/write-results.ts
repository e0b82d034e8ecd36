import { eq } from "drizzle-orm";
import type { PgTable } from "drizzle-orm/pg-core";
import type { ReviewResult } from "../../src/analysis/results";
import type { Database } from "../open-database";
import { NOW_MS } from "../schema/now-ms";
import {
  dayResult,
  dropout,
  gap,
  hourResult,
  nearLimit,
  resultNote,
  siteResult,
  transfer,
} from "../schema/results";
import { site } from "../schema/site";

/** Rows an insert: far below the protocol's 65,535 parameters. */
const ROWS = 1000;

/**
 * Replaces a site's results inside the caller's transaction, and says which revision of the samples they
 * stand on. Results of a newer revision stay; false then.
 *
 * @param result null where the site has no samples
 */
export async function writeResults(
  orm: Pick<Database["orm"], "select" | "delete" | "insert" | "update">,
  siteId: number,
  revision: number,
  result: ReviewResult | null,
): Promise<boolean> {
  const [current] = await orm
    .select({ revision: site.resultsRevision })
    .from(site)
    .where(eq(site.siteId, siteId))
    .for("update");
  if (current === undefined || (current.revision ?? -1) > revision) return false;
  for (const table of [transfer, dropout, nearLimit, dayResult, hourResult, gap, resultNote, siteResult]) {
    await orm.delete(table).where(eq(table.siteId, siteId));
  }
  if (result !== null) {
    const insert = async <T extends PgTable>(table: T, rows: readonly T["$inferInsert"][]) => {
      for (let from = 0; from < rows.length; from += ROWS) {
        await orm.insert(table).values(rows.slice(from, from + ROWS) as T["$inferInsert"][]);
      }
    };
    const { coverage } = result;
    const { gaps, ...span } = coverage;
    await insert(
      transfer,
      result.transfers.map((row) => ({ siteId, ...row })),
    );
    await insert(
      dropout,
      result.dropouts.map((row) => ({ siteId, ...row })),
    );
    await insert(
      nearLimit,
      result.nearLimit.map((row) => ({ siteId, ...row })),
    );
    await insert(
      dayResult,
      result.days.map(({ shares, ...row }) => ({ siteId, ...row, ...shares })),
    );
    await insert(
      hourResult,
      result.hours.map((row) => ({ siteId, ...row })),
    );
    await insert(
      gap,
      gaps.map((row) => ({ siteId, ...row })),
    );
    await insert(
      resultNote,
      result.notes.map((note, ordinal) => ({ siteId, ordinal, ...note })),
    );
    await insert(siteResult, [
      { siteId, coverage: span, total: result.total, longestRunHeldS: result.longestRunHeldS },
    ]);
  }
  await orm
    .update(site)
    .set({ resultsRevision: revision, resultsComputedAtMs: NOW_MS })
    .where(eq(site.siteId, siteId));
  return true;
}
