import { bigint, integer, pgTable, primaryKey, real } from "drizzle-orm/pg-core";

/**
 * Minutes (UTC) of a logger's samples: by holds (definitions D1), a hold over a minute's edge counted on
 * each side. The arrays are in the order of NUMERIC_CHANNELS, null where a channel has no value in that
 * minute; `on_s` is held time by source in the order of SOURCES, null where the logger has no source column.
 */
export const rollup = pgTable(
  "rollup",
  {
    siteId: integer("site_id").notNull(),
    loggerId: integer("logger_id").notNull(),
    minuteMs: bigint("minute_ms", { mode: "number" }).notNull(),
    samples: integer("samples").notNull(),
    heldS: real("held_s").notNull(),
    mean: real("mean").array().notNull(),
    min: real("min").array().notNull(),
    max: real("max").array().notNull(),
    onS: real("on_s").array(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.loggerId, table.minuteMs] })],
);
