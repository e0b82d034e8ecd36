import { notFound } from "next/navigation";
import type { Database } from "../../db/open-database";
import { type JobRow, jobsOf } from "../../db/queries/jobs-of";
import { logById } from "../../db/queries/log-by-id";
import type { LogRow } from "../../db/queries/logs-of";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

export type LogPage = SitePage & {
  log: LogRow;
  /** The latest import of this log; null where there was none. */
  job: JobRow | null;
};

/** One log of a site, or the page that says there is none. */
export async function logPage(slug: string, id: string): Promise<LogPage> {
  const page = await sitePage(slug);
  const found = await read((database) => logWithJob(database, page.site.siteId, id));
  if (found === null) notFound();
  return { ...page, ...found };
}

/** A log by the number in its address, with its latest import; null where there is no such log. */
export async function logWithJob(
  database: Database,
  siteId: number,
  id: string,
): Promise<{ log: LogRow; job: JobRow | null } | null> {
  const log = /^\d{1,9}$/.test(id) ? await logById(database, siteId, Number(id)) : null;
  if (log === null) return null;
  const jobs = await jobsOf(database, siteId);
  const ofLog = ({ kind, payload }: JobRow) =>
    kind === "import" && (payload as { logId: number }).logId === log.logId;
  return { log, job: jobs.find(ofLog) ?? null };
}

/** Whether an import has yet to end. */
export function isOpen(job: JobRow | null): job is JobRow {
  return job?.state === "waiting" || job?.state === "running";
}
