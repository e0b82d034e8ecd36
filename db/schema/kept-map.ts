import { bigint, foreignKey, integer, jsonb, pgTable, primaryKey, text } from "drizzle-orm/pg-core";
import type { FileShape } from "../../src/ingest/log-shape";
import { logger } from "./logger";
import { NOW_MS } from "./now-ms";

/**
 * The column map by which logs of one shape were last imported into a logger: a later log of that shape is read by
 * it. `shape_hash` is of `shape`, so that there is one map a shape.
 */
export const keptMap = pgTable(
  "kept_map",
  {
    siteId: integer("site_id").notNull(),
    loggerId: integer("logger_id").notNull(),
    shapeHash: text("shape_hash").notNull(),
    shape: jsonb("shape").$type<FileShape>().notNull(),
    columnMap: jsonb("column_map").$type<unknown>().notNull(),
    /** Choices of the map that nobody gave: "time", channels. */
    guessed: text("guessed").array().notNull(),
    /** Name of the log that it came with. */
    logName: text("log_name").notNull(),
    createdAtMs: bigint("created_at_ms", { mode: "number" }).notNull().default(NOW_MS),
    lastUsedMs: bigint("last_used_ms", { mode: "number" }).notNull().default(NOW_MS),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.loggerId, table.shapeHash] }),
    foreignKey({ columns: [table.siteId, table.loggerId], foreignColumns: [logger.siteId, logger.loggerId] }),
  ],
);
