import { sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { JOB_CHANNEL } from "./job-lock";

/**
 * Puts a recompute of a site in line, or with `assess` only a look through its logs' days, inside the caller's
 * transaction, unless one waits already.
 *
 * The one that waits is locked until the caller commits: a worker that would take it up waits for that
 * commit, and so computes from what the caller wrote.
 */
export async function enqueueRecompute(
  orm: Pick<Database["orm"], "execute">,
  siteId: number,
  kind: "recompute" | "assess" = "recompute",
): Promise<void> {
  await orm.execute(sql`
    insert into job (site_id, kind, payload) values (${siteId}, ${kind}, '{}')
    on conflict (site_id) where kind = ${sql.raw(`'${kind}'`)} and state = 'waiting' do update set kind = ${kind}`);
  await orm.execute(sql`select pg_notify(${JOB_CHANNEL}, ${String(siteId)})`);
}
