import type { ReviewResult } from "../../src/analysis/results";
import { createReview } from "../../src/analysis/review";
import type { Site } from "../../src/site/parse-site";
import { AppError } from "../app-error";
import { dieAt } from "../die-at";
import type { Database } from "../open-database";
import type { TransactionSql } from "../samples/copy-in";
import { readSamples } from "../samples/read-samples";
import { type SampledLogger, sampledLogger } from "../samples/sampled-logger";
import type { JobProgress } from "../schema/job";
import { toAppError } from "../to-app-error";
import { checkedSite } from "./add-site";
import { writeResults } from "./write-results";

/** What a recompute came to. */
export type RecomputeOutcome = {
  /** Revision of the samples that the results now stand on. */
  revision: number;
  /** False where newer results stood already. */
  written: boolean;
  samples: number;
};

/**
 * Computes a site's results from its stored samples, all of one snapshot, and replaces the old ones in one
 * transaction. What changes meanwhile has put another recompute in line.
 *
 * @throws AppError not-found, cancelled, and what `toAppError` tells of the server
 */
export async function recompute(
  database: Database,
  siteId: number,
  { signal, onProgress }: { signal?: AbortSignal; onProgress?: (progress: JobProgress) => void } = {},
): Promise<RecomputeOutcome> {
  try {
    const computed = await database.sql.begin("isolation level repeatable read read only", async (tx) => {
      const [row] = await tx<{ config: unknown; revision: number }[]>`
        select config, samples_revision as revision from site where site_id = ${siteId}`;
      if (row === undefined)
        throw new AppError("not-found", "There is no such site; it may have been removed.");
      const logger = await sampledLogger(tx, siteId);
      if (logger === null) return { revision: row.revision, samples: 0, result: null };
      const result = await review(tx, siteId, checkedSite(row.config), logger, signal, onProgress);
      return { revision: row.revision, samples: logger.samples, result };
    });
    dieAt("recompute");
    const written = await database.orm.transaction((orm) =>
      writeResults(orm, siteId, computed.revision, computed.result),
    );
    return { revision: computed.revision, samples: computed.samples, written };
  } catch (error) {
    throw toAppError(error);
  }
}

async function review(
  tx: TransactionSql,
  siteId: number,
  site: Site,
  logger: SampledLogger,
  signal: AbortSignal | undefined,
  onProgress: ((progress: JobProgress) => void) | undefined,
): Promise<ReviewResult> {
  const startedMs = performance.now();
  let rows = 0;
  const once = async (firstSocPct: number | null) => {
    const running = createReview({
      zone: site.timezone,
      ratings: site.ratings,
      settings: site.settings,
      channels: logger.channels,
      hasSource: logger.hasSource,
      hasFault: logger.hasFault,
      firstSocPct,
    });
    rows = 0;
    for await (const series of readSamples(tx, { siteId, logger })) {
      if (signal?.aborted) throw new AppError("cancelled", "Cancelled: the results are as they were.");
      running.push(series);
      rows += series.timesMs.length;
      onProgress?.(progressOf(rows, logger.samples, performance.now() - startedMs));
    }
    return running.finish(logger.faultWords);
  };
  const first = await once(null);
  const finished = first.lateFirstSocPct === null ? first : await once(first.lateFirstSocPct);
  return withLoggerNote(finished.result, logger.loggersWithSamples);
}

/** Adds what the results leave out where a site has several loggers. */
function withLoggerNote(result: ReviewResult, loggersWithSamples: number): ReviewResult {
  if (loggersWithSamples < 2) return result;
  const note = { code: "several-loggers-later", figures: { loggers: loggersWithSamples } };
  return { ...result, notes: [...result.notes, note] };
}

function progressOf(rows: number, totalRows: number, elapsedMs: number): JobProgress {
  const rowsPerS = elapsedMs > 0 ? (rows / elapsedMs) * 1000 : 0;
  return {
    bytes: 0,
    totalBytes: 0,
    rows,
    rowsPerS,
    leftS: rowsPerS > 0 ? Math.max(0, totalRows - rows) / rowsPerS : null,
  };
}
