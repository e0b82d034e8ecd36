import {
  bigint,
  boolean,
  doublePrecision,
  index,
  integer,
  jsonb,
  pgTable,
  primaryKey,
  text,
} from "drizzle-orm/pg-core";
import type {
  Certainty,
  Coverage,
  EnergyShares,
  Evidence,
  Quantity,
  Transfer,
  TransferTag,
} from "../../src/analysis/results";
import type { Source, TransferCause } from "../../src/analysis/series";
import { site } from "./site";

/*
 * Results of the analysis as rows, in the shapes of src/analysis/results.ts. They are replaced together, in
 * one transaction that also sets site.results_revision: whoever reads them in one snapshot has one revision.
 * Instants are epoch milliseconds; figures are float8, so that they come back bit for bit.
 */

const siteKey = () =>
  integer("site_id")
    .notNull()
    .references(() => site.siteId);
const ms = (name: string) => bigint(name, { mode: "number" });

const shares = () => ({
  loadWh: doublePrecision("load_wh").notNull(),
  solarWh: doublePrecision("solar_wh").notNull(),
  solarToLoadWh: doublePrecision("solar_to_load_wh").notNull(),
  batteryToLoadWh: doublePrecision("battery_to_load_wh").notNull(),
  gridToLoadWh: doublePrecision("grid_to_load_wh").notNull(),
  generatorToLoadWh: doublePrecision("generator_to_load_wh").notNull(),
  unattributedWh: doublePrecision("unattributed_wh").notNull(),
  solarToBatteryWh: doublePrecision("solar_to_battery_wh").notNull(),
  gridToBatteryWh: doublePrecision("grid_to_battery_wh").notNull(),
  generatorToBatteryWh: doublePrecision("generator_to_battery_wh").notNull(),
  solarToGridWh: doublePrecision("solar_to_grid_wh").notNull(),
  batteryToGridWh: doublePrecision("battery_to_grid_wh").notNull(),
  lossesWh: doublePrecision("losses_wh").notNull(),
  suppliedWh: doublePrecision("supplied_wh").notNull(),
  batteryToLoadOfSolarWh: doublePrecision("battery_to_load_of_solar_wh").notNull(),
});

const findings = () => ({
  cause: text("cause").$type<TransferCause>().notNull(),
  alsoHolds: jsonb("also_holds").$type<TransferCause[]>().notNull(),
  certainty: text("certainty").$type<Certainty>().notNull(),
  limiting: text("limiting").$type<"L1" | "L2" | "total">(),
  peakLoading: doublePrecision("peak_loading"),
  peakAtMs: ms("peak_at_ms"),
  tags: jsonb("tags").$type<TransferTag[]>(),
  nuisance: boolean("nuisance"),
  avoidable: boolean("avoidable"),
  evidence: jsonb("evidence").$type<Evidence[]>().notNull(),
});

/** One local day of a site, `DayResult`. */
export const dayResult = pgTable(
  "day_result",
  {
    siteId: siteKey(),
    date: text("date").notNull(),
    fromMs: ms("from_ms").notNull(),
    toMs: ms("to_ms").notNull(),
    samples: integer("samples").notNull(),
    heldS: doublePrecision("held_s").notNull(),
    sharesHeldS: doublePrecision("shares_held_s").notNull(),
    ...shares(),
    onS: jsonb("on_s").$type<{ readonly [S in Source]: number }>().notNull(),
    peakLoading: doublePrecision("peak_loading"),
    peakQuantity: text("peak_quantity").$type<Quantity>(),
    peakAtMs: ms("peak_at_ms"),
    peakLoadingL1: doublePrecision("peak_loading_l1"),
    peakLoadingL2: doublePrecision("peak_loading_l2"),
    peakLoadingTotal: doublePrecision("peak_loading_total"),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.date] })],
);

/** One local clock hour of a site, `HourResult`. */
export const hourResult = pgTable(
  "hour_result",
  {
    siteId: siteKey(),
    fromMs: ms("from_ms").notNull(),
    toMs: ms("to_ms").notNull(),
    heldS: doublePrecision("held_s").notNull(),
    peakLoading: doublePrecision("peak_loading"),
    peakQuantity: text("peak_quantity").$type<Quantity>(),
    peakAtMs: ms("peak_at_ms"),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs] })],
);

/** On inverter → on utility or generator, `Transfer`. */
export const transfer = pgTable(
  "transfer",
  {
    siteId: siteKey(),
    atMs: ms("at_ms").notNull(),
    returnedAtMs: ms("returned_at_ms"),
    onUtilityS: doublePrecision("on_utility_s").notNull(),
    lowerBound: boolean("lower_bound").notNull(),
    to: text("to_source").$type<Transfer["to"]>().notNull(),
    ...findings(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.atMs] }),
    index("transfer_cause").on(table.siteId, table.cause, table.atMs),
  ],
);

/** The loads lose supply, `Dropout`. */
export const dropout = pgTable(
  "dropout",
  {
    siteId: siteKey(),
    atMs: ms("at_ms").notNull(),
    endedAtMs: ms("ended_at_ms"),
    deadS: doublePrecision("dead_s").notNull(),
    lowerBound: boolean("lower_bound").notNull(),
    ...findings(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.atMs] })],
);

/** A stretch near or above a limit, `NearLimitInterval`. */
export const nearLimit = pgTable(
  "near_limit",
  {
    siteId: siteKey(),
    quantity: text("quantity").$type<Quantity>().notNull(),
    fromMs: ms("from_ms").notNull(),
    toMs: ms("to_ms").notNull(),
    durationS: doublePrecision("duration_s").notNull(),
    peakW: doublePrecision("peak_w"),
    peakA: doublePrecision("peak_a"),
    peakAtMs: ms("peak_at_ms").notNull(),
    peakLoading: doublePrecision("peak_loading").notNull(),
    meanLoading: doublePrecision("mean_loading").notNull(),
    overLimitS: doublePrecision("over_limit_s").notNull(),
    onInverterS: doublePrecision("on_inverter_s").notNull(),
    onUtilityS: doublePrecision("on_utility_s").notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs, table.quantity] })],
);

/** A hole in the log, `Gap`. */
export const gap = pgTable(
  "gap",
  { siteId: siteKey(), fromMs: ms("from_ms").notNull(), toMs: ms("to_ms").notNull() },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs] })],
);

/** A remark on the results as a whole, `Note`, in the order in which the analysis gave them. */
export const resultNote = pgTable(
  "result_note",
  {
    siteId: siteKey(),
    ordinal: integer("ordinal").notNull(),
    code: text("code").notNull(),
    figures: jsonb("figures").$type<Evidence["figures"]>().notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.ordinal] })],
);

/** What stands once for the whole history: coverage (its gaps are rows of their own) and energies. */
export const siteResult = pgTable("site_result", {
  siteId: siteKey().primaryKey(),
  coverage: jsonb("coverage").$type<Omit<Coverage, "gaps">>().notNull(),
  total: jsonb("total").$type<EnergyShares>().notNull(),
  longestRunHeldS: doublePrecision("longest_run_held_s"),
});
