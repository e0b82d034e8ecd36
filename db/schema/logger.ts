import {
  bigint,
  boolean,
  doublePrecision,
  foreignKey,
  integer,
  pgTable,
  primaryKey,
  text,
  unique,
} from "drizzle-orm/pg-core";
import { site } from "./site";

/**
 * One source of samples on a site; its logs follow one another. `nominal_ms` is the nominal interval of its
 * whole fold, null under two samples; of an even number of differences it can end on half a millisecond.
 * `channels` are the numeric channels any of its logs had. `has_segments`: its interval changes somewhere
 * (definitions D1), so that a hold can depend on samples far before it; true until that is known.
 */
export const logger = pgTable(
  "logger",
  {
    siteId: integer("site_id")
      .notNull()
      .references(() => site.siteId),
    loggerId: integer("logger_id").generatedAlwaysAsIdentity().notNull(),
    name: text("name").notNull(),
    nominalMs: doublePrecision("nominal_ms"),
    channels: text("channels").array().notNull().default([]),
    hasSource: boolean("has_source").notNull().default(false),
    hasFault: boolean("has_fault").notNull().default(false),
    hasSegments: boolean("has_segments").notNull().default(true),
    firstMs: bigint("first_ms", { mode: "number" }),
    lastMs: bigint("last_ms", { mode: "number" }),
    samples: bigint("samples", { mode: "number" }).notNull().default(0),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.loggerId] }),
    unique("logger_name").on(table.siteId, table.name),
  ],
);

/**
 * What a stored fault number means. Every log brings its own numbers, so that a corrected word list of a
 * later log never changes what an earlier one said; readers fold equal words together.
 */
export const faultWord = pgTable(
  "fault_word",
  {
    siteId: integer("site_id").notNull(),
    loggerId: integer("logger_id").notNull(),
    fault: integer("fault").notNull(),
    /** The log that brought it; null for one from before this was kept. */
    logId: integer("log_id"),
    code: text("code").notNull(),
    meaning: text("meaning"),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.loggerId, table.fault] }),
    foreignKey({ columns: [table.siteId, table.loggerId], foreignColumns: [logger.siteId, logger.loggerId] }),
  ],
);
