import type { Database } from "../open-database";

/** How many imports of a site are in line or under way. */
export async function waitingImports(database: Pick<Database, "sql">, siteId: number): Promise<number> {
  const [{ count }] = await database.sql<{ count: number }[]>`
    select count(*)::int as count from job
    where site_id = ${siteId} and kind = 'import' and state in ('waiting', 'running')`;
  return count;
}
