import { drizzle, type PostgresJsDatabase } from "drizzle-orm/postgres-js";
import type postgres from "postgres";

/**
 * drizzle over a transaction of the driver: for writes that share it with a COPY. drizzle wants to set
 * parsers on its client; those of the pool are set, so it gets an empty pair of tables to set.
 */
export function transactionOrm(tx: postgres.TransactionSql<{ bigint: number }>): PostgresJsDatabase {
  const client = Object.assign(tx, { options: { parsers: {}, serializers: {} } });
  return drizzle(client as unknown as postgres.Sql);
}
