import { eq } from "drizzle-orm";
import type { ReturnDelay } from "../../src/analysis/results";
import { DEFAULT_SETTINGS, type Settings } from "../../src/analysis/settings";
import type { Database } from "../open-database";
import { siteResult } from "../schema/results";
import { site } from "../schema/site";

/** What stands once for all of a site's results. */
export type ResultHead = {
  timezone: string;
  /** What the results were computed from; null before the first time. */
  revision: number | null;
  samplesRevision: number;
  /** When that was, epoch ms. */
  computedAtMs: number | null;
  /** Settings that the results were computed with; the defaults before the first time. */
  settings: Settings;
  /** Nominal interval of the log, s; null where it isn't known. */
  nominalS: number | null;
  /** Return delay of the whole history; null before the first time. */
  returnDelay: ReturnDelay | null;
};

/** How results of one revision are read: in one snapshot. */
export const ONE_SNAPSHOT = { isolationLevel: "repeatable read", accessMode: "read only" } as const;

/**
 * The head of a site's results; the caller's transaction makes it that of the rest it reads.
 *
 * @returns null where there is no such site
 */
export async function resultHead(
  orm: Pick<Database["orm"], "select">,
  siteId: number,
): Promise<ResultHead | null> {
  const [found] = await orm
    .select({
      timezone: site.timezone,
      revision: site.resultsRevision,
      samplesRevision: site.samplesRevision,
      computedAtMs: site.resultsComputedAtMs,
      settings: siteResult.settings,
      nominalMs: siteResult.nominalMs,
      returnDelay: siteResult.returnDelay,
    })
    .from(site)
    .leftJoin(siteResult, eq(siteResult.siteId, site.siteId))
    .where(eq(site.siteId, siteId));
  if (found === undefined) return null;
  const { nominalMs, settings, ...rest } = found;
  return {
    ...rest,
    settings: settings ?? { ...DEFAULT_SETTINGS },
    nominalS: nominalMs === null ? null : nominalMs / 1000,
  };
}
