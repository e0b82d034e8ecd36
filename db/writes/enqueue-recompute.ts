import { sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { JOB_CHANNEL } from "./job-lock";

/**
 * Puts a recompute of a site in line, inside the caller's transaction, unless one waits already.
 *
 * The one that waits is locked until the caller commits: a worker that would take it up waits for that
 * commit, and so computes from what the caller wrote.
 */
export async function enqueueRecompute(orm: Pick<Database["orm"], "execute">, siteId: number): Promise<void> {
  await orm.execute(ENQUEUE(siteId));
  await orm.execute(sql`select pg_notify(${JOB_CHANNEL}, ${String(siteId)})`);
}

const ENQUEUE = (siteId: number) => sql`
  insert into job (site_id, kind, payload) values (${siteId}, 'recompute', '{}')
  on conflict (site_id) where kind = 'recompute' and state = 'waiting' do update set kind = 'recompute'`;
