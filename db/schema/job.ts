import { sql } from "drizzle-orm";
import {
  bigint,
  boolean,
  index,
  integer,
  jsonb,
  pgTable,
  primaryKey,
  text,
  uniqueIndex,
} from "drizzle-orm/pg-core";
import { NOW_MS } from "./now-ms";
import { site } from "./site";

/** `assess` looks through the days of the logs themselves (`quality_day`); every recompute does so too. */
export const JOB_KINDS = ["import", "refold", "recompute", "assess"] as const;

export type JobKind = (typeof JOB_KINDS)[number];

export const JOB_STATES = ["waiting", "running", "done", "failed", "cancelled"] as const;

export type JobState = (typeof JOB_STATES)[number];

/** How far a job is. `leftS` is null where it can't be told yet. */
export type JobProgress = {
  bytes: number;
  totalBytes: number;
  rows: number;
  rowsPerS: number;
  leftS: number | null;
};

/**
 * Long work, in the database so that it survives whoever does it.
 *
 * A table of our own, because the job libraries that run on Node 20 bring a second PostgreSQL driver with
 * its own pool, and what is needed of one is small. Whoever runs a job holds a session advisory lock on its
 * job_id for as long as it runs: the server lets go of it in the moment the runner dies, so a `running` job
 * whose lock is free is one to take up again. An advisory lock and not the row's, because the row is
 * written while it runs (progress, a wish to cancel) and a long row lock keeps vacuum from its work.
 *
 * At most one recompute and one assessment of a site wait: the next one covers all that came before it.
 */
export const job = pgTable(
  "job",
  {
    siteId: integer("site_id")
      .notNull()
      .references(() => site.siteId),
    jobId: integer("job_id").generatedAlwaysAsIdentity().notNull(),
    kind: text("kind").$type<JobKind>().notNull(),
    payload: jsonb("payload").$type<unknown>().notNull(),
    state: text("state").$type<JobState>().notNull().default("waiting"),
    attempts: integer("attempts").notNull().default(0),
    progress: jsonb("progress").$type<JobProgress>(),
    /** What it came to: of an import and a refold, its outcome. */
    result: jsonb("result").$type<unknown>(),
    error: jsonb("error").$type<{ code: string; message: string }>(),
    cancelRequested: boolean("cancel_requested").notNull().default(false),
    createdAtMs: bigint("created_at_ms", { mode: "number" }).notNull().default(NOW_MS),
    startedAtMs: bigint("started_at_ms", { mode: "number" }),
    finishedAtMs: bigint("finished_at_ms", { mode: "number" }),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.jobId] }),
    index("job_of_log")
      .on(table.siteId, sql`(payload ->> 'logId')`, table.jobId)
      .where(sql`kind <> 'recompute'`),
    index("job_open").on(table.jobId).where(sql`state in ('waiting', 'running')`),
    uniqueIndex("job_one_recompute_waits")
      .on(table.siteId)
      .where(sql`kind = 'recompute' and state = 'waiting'`),
    uniqueIndex("job_one_assess_waits").on(table.siteId).where(sql`kind = 'assess' and state = 'waiting'`),
  ],
);
