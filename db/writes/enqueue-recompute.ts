import { sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { JOB_CHANNEL } from "./job-lock";

/**
 * Puts a recompute of a site in line, or only a look through its logs' days, inside the caller's transaction, unless one
 * waits already.
 *
 * The one that waits is locked until the caller commits: a worker that would take it up waits for that
 * commit, and so computes from what the caller wrote.
 *
 * @param options.kind `recompute` without it
 * @param options.forRows true: rows have come, and more may soon; the worker leaves a pause after the one before
 * (`dueJobs`). What a person has changed doesn't wait, and takes the pause from one that waits
 */
export async function enqueueRecompute(
  orm: Pick<Database["orm"], "execute">,
  siteId: number,
  { kind = "recompute", forRows = false }: { kind?: "recompute" | "assess"; forRows?: boolean } = {},
): Promise<void> {
  const payload = JSON.stringify(forRows ? { forRows } : {});
  await orm.execute(sql`
    insert into job (site_id, kind, payload) values (${siteId}, ${kind}, ${payload}::text::jsonb)
    on conflict (site_id) where kind = ${sql.raw(`'${kind}'`)} and state = 'waiting'
    do update set payload = case when jsonb_exists(excluded.payload, 'forRows') then job.payload else excluded.payload end`);
  await orm.execute(sql`select pg_notify(${JOB_CHANNEL}, ${String(siteId)})`);
}
