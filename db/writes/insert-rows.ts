import { getTableColumns, getTableName } from "drizzle-orm";
import type { PgTable } from "drizzle-orm/pg-core";
import type { TransactionSql } from "../samples/copy-in";
import { rowsJson } from "./rows-json";

/** Rows a statement: what waits to be sent stays small. */
const ROWS = 1000;

/**
 * Inserts rows of any number in statements whose text is the same each time, so that the server has them prepared
 * and one goes there and back once. The first statement is sent at the call: of several calls that are
 * not awaited one by one the server gets them in order.
 *
 * @param rows in the shape of the table's columns
 */
export async function insertRows<T extends PgTable>(
  tx: TransactionSql,
  table: T,
  rows: readonly T["$inferInsert"][],
): Promise<void> {
  const name = getTableName(table);
  const text = `insert into ${name} select * from json_populate_recordset(null::${name}, $1::text::json)`;
  const columns = getTableColumns(table);
  for (let from = 0; from < rows.length; from += ROWS) {
    const json = rowsJson(columns, rows.slice(from, from + ROWS));
    await tx.unsafe(text, [json], { prepare: true });
  }
}
