import { notFound } from "next/navigation";
import type { Database } from "../../db/open-database";
import { jobOfLog } from "../../db/queries/job-of-log";
import type { JobRow } from "../../db/queries/jobs-of";
import { logById } from "../../db/queries/log-by-id";
import type { LogRow } from "../../db/queries/logs-of";
import type { RefoldPayload } from "../../db/writes/enqueue-refold";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

export type LogPage = SitePage & {
  log: LogRow;
  /** The latest job of this log: its import, or what changes its place in the fold; null where there was none. */
  job: JobRow | null;
};

/** One log of a site, or the page that says there is none. */
export async function logPage(slug: string, id: string): Promise<LogPage> {
  const page = await sitePage(slug);
  const found = await read((database) => logWithJob(database, page.site.siteId, id));
  if (found === null) notFound();
  return { ...page, ...found };
}

/** A log by the number in its address, with its latest job; null where there is no such log. */
export async function logWithJob(
  database: Database,
  siteId: number,
  id: string,
): Promise<{ log: LogRow; job: JobRow | null } | null> {
  const log = /^\d{1,9}$/.test(id) ? await logById(database, siteId, Number(id)) : null;
  if (log === null) return null;
  return { log, job: await jobOfLog(database, siteId, log.logId) };
}

/** Whether a job imports this log or changes its place in the fold. */
export function isOfLog({ kind, payload }: JobRow, logId: number): boolean {
  return (kind === "import" || kind === "refold") && (payload as { logId?: number }).logId === logId;
}

/** What a job does with its log. */
export function actionOf({ kind, payload }: JobRow): "import" | RefoldPayload["action"] {
  return kind === "import" ? "import" : (payload as RefoldPayload).action;
}

/** Whether a job has yet to end. */
export function isOpen(job: JobRow | null): job is JobRow {
  return job?.state === "waiting" || job?.state === "running";
}
