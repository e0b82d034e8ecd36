import { bigint, integer, jsonb, pgTable, text, unique } from "drizzle-orm/pg-core";
import { NOW_MS } from "./now-ms";

/**
 * One place with one inverter system. `config` is site.json as it was written; `timezone` and `name` stand
 * beside it because lists need them. `samples_revision` counts every change that can change a result (a log,
 * the configuration); `results_revision` is the one the stored results were computed from, null before the
 * first time. `changed_from_ms` and `changed_to_ms` are the instants of the first and last sample that were
 * added, removed or changed since then: null for none, the smallest and greatest safe integer for all of them.
 * `assess_from_ms` and `assess_to_ms` are the same for what the quality of the logs stands on.
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
    changedFromMs: bigint("changed_from_ms", { mode: "number" }),
    changedToMs: bigint("changed_to_ms", { mode: "number" }),
    assessFromMs: bigint("assess_from_ms", { mode: "number" }),
    assessToMs: bigint("assess_to_ms", { mode: "number" }),
    resultsComputedAtMs: bigint("results_computed_at_ms", { mode: "number" }),
    createdAtMs: bigint("created_at_ms", { mode: "number" }).notNull().default(NOW_MS),
  },
  (table) => [unique("site_slug").on(table.slug), unique("site_name").on(table.name)],
);
