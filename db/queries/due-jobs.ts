import type { Database } from "../open-database";

/**
 * The pause between two recomputes for rows that come one by one: so many times what the last one took, so that all of
 * them together take a tenth of a worker, but at least and at most so long.
 */
export const RECOMPUTE_PAUSE = { times: 9, leastMs: 1000, mostMs: 10_000 } as const;

/** A job in line, and how long it is left there yet, ms; 0 for one that is due. */
export type DueJob = { siteId: number; jobId: number; pauseMs: number };

/**
 * The jobs that are in line, in order, and those whose runner may have died. A recompute for rows that came right after
 * another one is left in line for a while: it covers the rows that come meanwhile, too. After a pause the first one is
 * due at once.
 *
 * @param siteId only those of this site; null for all
 */
export async function dueJobs(database: Pick<Database, "sql">, siteId: number | null): Promise<DueJob[]> {
  const { times, leastMs, mostMs } = RECOMPUTE_PAUSE;
  return database.sql<DueJob[]>`
    select site_id as "siteId", job_id as "jobId",
      case when state = 'waiting' and kind in ('recompute', 'assess') and jsonb_exists(payload, 'forRows') then greatest(0, coalesce((
        select last.finished_at_ms + least(${mostMs}, greatest(${leastMs}, ${times} * (last.finished_at_ms - last.started_at_ms)))
        from job last
        where last.site_id = job.site_id and last.kind in ('recompute', 'assess') and last.state = 'done'
        order by last.job_id desc limit 1
      ) - (extract(epoch from clock_timestamp()) * 1000), 0))::float8 else 0 end as "pauseMs"
    from job
    where state in ('waiting', 'running') and (${siteId}::int is null or site_id = ${siteId})
    order by job_id`;
}
