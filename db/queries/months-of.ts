import { eq, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { dayResult } from "../schema/results";

/** Local months (yyyy-MM) of a site that have results, ascending. */
export async function monthsOf(database: Pick<Database, "orm">, siteId: number): Promise<string[]> {
  const month = sql<string>`substr(${dayResult.date}, 1, 7)`;
  const rows = await database.orm
    .selectDistinct({ month })
    .from(dayResult)
    .where(eq(dayResult.siteId, siteId))
    .orderBy(month);
  return rows.map((row) => row.month);
}
