import { and, asc, count, eq } from "drizzle-orm";
import type { Database } from "../open-database";
import { reject } from "../schema/log";

/** One row or cell that could not be taken. */
export type RejectRow = {
  /** Physical line from 1, and column from 1; null where the problem has no such place. */
  line: number | null;
  columnNo: number | null;
  columnName: string | null;
  code: string;
  text: string | null;
  guessed: boolean;
};

/** One page of a log's rejects. `kept` counts the instances that are kept; exact counts stand in the verdict. */
export type RejectPage = { kept: number; rejects: RejectRow[] };

/**
 * Rejects of a log in the order in which they stand in it.
 *
 * @param page from 0
 * @param code only those of this code; all where absent
 */
export async function rejectsOf(
  database: Database,
  siteId: number,
  logId: number,
  { page = 0, pageSize = 100, code }: { page?: number; pageSize?: number; code?: string } = {},
): Promise<RejectPage> {
  const which = and(
    eq(reject.siteId, siteId),
    eq(reject.logId, logId),
    code === undefined ? undefined : eq(reject.code, code),
  );
  const [counted] = await database.orm.select({ kept: count() }).from(reject).where(which);
  const rejects = await database.orm
    .select({
      line: reject.line,
      columnNo: reject.columnNo,
      columnName: reject.columnName,
      code: reject.code,
      text: reject.text,
      guessed: reject.guessed,
    })
    .from(reject)
    .where(which)
    .orderBy(asc(reject.ordinal))
    .limit(pageSize)
    .offset(page * pageSize);
  return { kept: counted.kept, rejects };
}
