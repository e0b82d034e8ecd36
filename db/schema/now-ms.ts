import { sql } from "drizzle-orm";

/** The server's clock at the statement, in epoch milliseconds: the default of every column of the record keeping. */
export const NOW_MS = sql`(extract(epoch from clock_timestamp()) * 1000)::bigint`;
