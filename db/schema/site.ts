import { bigint, integer, jsonb, pgTable, text, unique } from "drizzle-orm/pg-core";
import { NOW_MS } from "./now-ms";

/**
 * One place with one inverter system. `config` is site.json as it was written; `timezone` and `name` stand
 * beside it because lists need them. `samples_revision` counts every change that can change a result (a log,
 * the configuration); `results_revision` is the one the stored results were computed from, null before the
 * first time.
 */
export const site = pgTable(
  "site",
  {
    siteId: integer("site_id").primaryKey().generatedAlwaysAsIdentity(),
    slug: text("slug").notNull(),
    name: text("name").notNull(),
    timezone: text("timezone").notNull(),
    config: jsonb("config").$type<unknown>().notNull(),
    samplesRevision: bigint("samples_revision", { mode: "number" }).notNull().default(0),
    resultsRevision: bigint("results_revision", { mode: "number" }),
    resultsComputedAtMs: bigint("results_computed_at_ms", { mode: "number" }),
    createdAtMs: bigint("created_at_ms", { mode: "number" }).notNull().default(NOW_MS),
  },
  (table) => [unique("site_slug").on(table.slug), unique("site_name").on(table.name)],
);
