import { bigint, integer, jsonb, pgTable, primaryKey, text } from "drizzle-orm/pg-core";
import type { QualityDay } from "../../src/analysis/quality-day";

/**
 * What each local day of each logger says of the log itself: derived from the minutes, made anew after every change
 * of samples, ratings or zone (`site.assess_from_ms` to `assess_to_ms` is what is still to be looked at).
 */
export const qualityDay = pgTable(
  "quality_day",
  {
    siteId: integer("site_id").notNull(),
    loggerId: integer("logger_id").notNull(),
    /** yyyy-MM-dd at the site. */
    date: text("date").notNull(),
    fromMs: bigint("from_ms", { mode: "number" }).notNull(),
    found: jsonb("found").$type<QualityDay>().notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.loggerId, table.fromMs] })],
);
