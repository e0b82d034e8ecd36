import type { JobRow } from "../../db/queries/jobs-of";
import type { LogRow } from "../../db/queries/logs-of";
import type { ListedLog } from "../../db/queries/logs-page";
import type { SiteRow } from "../../db/queries/site-by-slug";
import { clockOf, localIso } from "../../src/report/format";
import { actionOf } from "../_data/log-page";
import { takenVerdict } from "../_data/log-verdict";
import type { ApiJson } from "./api-schemas";

type Place = Pick<SiteRow, "slug" | "timezone">;

/** A log as lists of the API have it. */
export function logJson(log: ListedLog, { slug, timezone }: Place): ApiJson<"Log"> {
  const clock = clockOf(timezone);
  const iso = (atMs: number | null) => (atMs === null ? null : localIso(atMs, clock));
  const verdict = takenVerdict(log.verdict);
  return {
    logId: log.logId,
    name: log.name,
    logger: log.loggerName,
    state: log.state,
    receivedAt: localIso(log.receivedAtMs, clock),
    importedAt: iso(log.importedAtMs),
    from: iso(log.firstMs),
    to: iso(log.lastMs),
    sizeBytes: log.sizeBytes,
    sha256: log.sha256,
    counts: verdict?.counts ?? null,
    codes: (verdict?.codes ?? null) as { [code: string]: number } | null,
    problem: log.problem as ApiJson<"Log">["problem"],
    screen: `/sites/${slug}/logs/${log.logId}`,
  };
}

/** A log with how it was read and its latest job. */
export function logStateJson(log: LogRow, job: JobRow | null, site: Place): ApiJson<"LogState"> {
  return {
    ...logJson(log, site),
    columnMap: log.columnMap as Record<string, unknown> | null,
    job:
      job === null
        ? null
        : {
            jobId: job.jobId,
            action: actionOf(job),
            state: job.state,
            progress: job.progress,
            error: job.error,
          },
  };
}

/** Address of a log in the API. */
export function logAddress({ slug }: Pick<Place, "slug">, logId: number): string {
  return `/api/v1/sites/${slug}/logs/${logId}`;
}
