import { and, asc, desc, eq, inArray, notExists, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { job } from "../schema/job";
import { log } from "../schema/log";
import { recentOpenNeutral } from "./recent-open-neutral";

/** What of a site may want a person, besides its figures. */
export type SiteWants = {
  /** Beginning of the last stretch that looks like an open neutral, where it was lately; epoch ms. */
  neutralAtMs: number | null;
  /** Logs that came and wait for a person to say how they are read; `logId` is the first of them. */
  waiting: { logs: number; logId: number; name: string } | null;
  /** The latest work of each kind that failed, where nothing of its kind came after it. */
  failed: { kind: "import" | "refold" | "recompute"; logId: number | null; message: string }[];
  /** When a log last came that is in the fold; null where none did. */
  lastReceivedAtMs: number | null;
};

/** Jobs of which a failure wants a person. */
const KINDS = ["import", "refold", "recompute"] as const;

/** What of a site may want a person. */
export async function siteWants(database: Database, siteId: number): Promise<SiteWants> {
  const { orm } = database;
  const open = orm
    .select({ jobId: job.jobId })
    .from(job)
    .where(
      and(
        eq(job.siteId, siteId),
        inArray(job.state, ["waiting", "running"]),
        sql`${job.payload} ->> 'logId' = ${log.logId}::text`,
      ),
    );
  const waiting = await orm
    .select({ logId: log.logId, name: log.name })
    .from(log)
    .where(and(eq(log.siteId, siteId), eq(log.state, "received"), notExists(open)))
    .orderBy(asc(log.logId));
  const failed: SiteWants["failed"] = [];
  for (const kind of KINDS) {
    const [last] = await orm
      .select({ state: job.state, error: job.error, payload: job.payload })
      .from(job)
      .where(and(eq(job.siteId, siteId), eq(job.kind, kind)))
      .orderBy(desc(job.jobId))
      .limit(1);
    if (last?.state !== "failed") continue;
    const { logId } = (last.payload ?? {}) as { logId?: number };
    failed.push({ kind, logId: logId ?? null, message: last.error?.message ?? "" });
  }
  const [came] = await orm
    .select({ atMs: sql<number | null>`max(${log.receivedAtMs})::float8` })
    .from(log)
    .where(and(eq(log.siteId, siteId), eq(log.state, "imported")));
  return {
    neutralAtMs: await recentOpenNeutral(database, siteId),
    waiting: waiting.length === 0 ? null : { ...waiting[0], logs: waiting.length },
    failed,
    lastReceivedAtMs: came.atMs,
  };
}
