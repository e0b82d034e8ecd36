import {
  bigint,
  boolean,
  customType,
  doublePrecision,
  index,
  integer,
  jsonb,
  pgTable,
  primaryKey,
  text,
} from "drizzle-orm/pg-core";
import type { ProtectiveDevice } from "../../src/analysis/continuous-load";
import type { DeriveCounts } from "../../src/analysis/derive-columns";
import type {
  Certainty,
  Coverage,
  EnergyShares,
  Evidence,
  Quantity,
  ReturnDelay,
  Transfer,
  TransferTag,
} from "../../src/analysis/results";
import type { FaultWord, Source, TransferCause } from "../../src/analysis/series";
import type { Settings } from "../../src/analysis/settings";
import { site } from "./site";

const bytea = customType<{ data: Buffer }>({ dataType: () => "bytea" });

/*
 * Results of the analysis as rows, in the shapes of src/analysis/results.ts. They are replaced together, in
 * one transaction that also sets site.results_revision: whoever reads them in one snapshot has one revision.
 * Instants are epoch milliseconds; figures are float8, so that they come back bit for bit.
 *
 * `segment_ms` is the local midnight after which the pass over the samples finished finding the row (-(2^53 - 1)
 * before the first one): a recompute that goes on from a midnight replaces the rows of that segment and later.
 */

const siteKey = () =>
  integer("site_id")
    .notNull()
    .references(() => site.siteId);
const ms = (name: string) => bigint(name, { mode: "number" });
const segment = () => ({ segmentMs: ms("segment_ms").notNull() });

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
    ...segment(),
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
    /** First sample and end of the last hold; NaN where a hold of the day before is all there is. */
    firstMs: doublePrecision("first_ms").notNull(),
    untilMs: doublePrecision("until_ms").notNull(),
    counts: jsonb("counts").$type<DeriveCounts>().notNull(),
    /** `DaySums`, serialised: what longer periods are added up from. */
    sums: bytea("sums").notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.date] }),
    index("day_result_segment").on(table.siteId, table.segmentMs),
  ],
);

/** One local clock hour of a site, `HourResult`. */
export const hourResult = pgTable(
  "hour_result",
  {
    siteId: siteKey(),
    ...segment(),
    fromMs: ms("from_ms").notNull(),
    toMs: ms("to_ms").notNull(),
    heldS: doublePrecision("held_s").notNull(),
    peakLoading: doublePrecision("peak_loading"),
    peakQuantity: text("peak_quantity").$type<Quantity>(),
    peakAtMs: ms("peak_at_ms"),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.fromMs] }),
    index("hour_result_segment").on(table.siteId, table.segmentMs),
  ],
);

/** On inverter → on utility or generator, `Transfer`. */
export const transfer = pgTable(
  "transfer",
  {
    siteId: siteKey(),
    ...segment(),
    atMs: ms("at_ms").notNull(),
    returnedAtMs: ms("returned_at_ms"),
    onUtilityS: doublePrecision("on_utility_s").notNull(),
    lowerBound: boolean("lower_bound").notNull(),
    to: text("to_source").$type<Transfer["to"]>().notNull(),
    /** What it was before its cause was decided, serialised: the second pass starts from there. */
    found: bytea("found").notNull(),
    /** Of the row as decided, so that a later second pass writes only what it changes. */
    digest: text("digest").notNull(),
    /** What it counts with in the return delay, s; null where it counts in none. */
    delayS: doublePrecision("delay_s"),
    ...findings(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.atMs] }),
    index("transfer_cause").on(table.siteId, table.cause, table.atMs),
    index("transfer_segment").on(table.siteId, table.segmentMs),
  ],
);

/** The loads lose supply, `Dropout`. */
export const dropout = pgTable(
  "dropout",
  {
    siteId: siteKey(),
    ...segment(),
    atMs: ms("at_ms").notNull(),
    endedAtMs: ms("ended_at_ms"),
    deadS: doublePrecision("dead_s").notNull(),
    lowerBound: boolean("lower_bound").notNull(),
    /** What it was before its cause was decided, serialised: the second pass starts from there. */
    found: bytea("found").notNull(),
    /** Of the row as decided, so that a later second pass writes only what it changes. */
    digest: text("digest").notNull(),
    ...findings(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.atMs] })],
);

/** A stretch near or above a limit, `NearLimitInterval`. */
export const nearLimit = pgTable(
  "near_limit",
  {
    siteId: siteKey(),
    ...segment(),
    quantity: text("quantity").$type<Quantity>().notNull(),
    fromMs: ms("from_ms").notNull(),
    toMs: doublePrecision("to_ms").notNull(),
    durationS: doublePrecision("duration_s").notNull(),
    peakW: doublePrecision("peak_w"),
    peakA: doublePrecision("peak_a"),
    peakAtMs: ms("peak_at_ms").notNull(),
    peakLoading: doublePrecision("peak_loading").notNull(),
    limitW: doublePrecision("limit_w"),
    limitA: doublePrecision("limit_a"),
    intervalS: doublePrecision("interval_s").notNull(),
    meanLoading: doublePrecision("mean_loading").notNull(),
    overLimitS: doublePrecision("over_limit_s").notNull(),
    onInverterS: doublePrecision("on_inverter_s").notNull(),
    onUtilityS: doublePrecision("on_utility_s").notNull(),
    longestOnInverterS: doublePrecision("longest_on_inverter_s").notNull(),
    longestOnInverterFromMs: ms("longest_on_inverter_from_ms"),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.fromMs, table.quantity] }),
    index("near_limit_segment").on(table.siteId, table.segmentMs),
  ],
);

/** A stretch in which the legs differ much, `ImbalanceInterval`. */
export const imbalanceInterval = pgTable(
  "imbalance_interval",
  {
    siteId: siteKey(),
    ...segment(),
    fromMs: ms("from_ms").notNull(),
    toMs: doublePrecision("to_ms").notNull(),
    durationS: doublePrecision("duration_s").notNull(),
    maxDifferenceW: doublePrecision("max_difference_w").notNull(),
    maxDifferenceAtMs: ms("max_difference_at_ms").notNull(),
    intervalS: doublePrecision("interval_s").notNull(),
    heavierLeg: text("heavier_leg").$type<"L1" | "L2">().notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs] })],
);

/** A stretch in which a protective device carried continuous load, `ContinuousLoad`. */
export const continuousLoad = pgTable(
  "continuous_load",
  {
    siteId: siteKey(),
    ...segment(),
    device: text("device").$type<ProtectiveDevice>().notNull(),
    fromMs: ms("from_ms").notNull(),
    toMs: doublePrecision("to_ms").notNull(),
    durationS: doublePrecision("duration_s").notNull(),
    ratingA: doublePrecision("rating_a").notNull(),
    meanA: doublePrecision("mean_a").notNull(),
    maxA: doublePrecision("max_a").notNull(),
    maxAtMs: ms("max_at_ms").notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs, table.device] })],
);

/** A stretch that looks like an open neutral, `OpenNeutralSuspicion`. */
export const openNeutral = pgTable(
  "open_neutral",
  {
    siteId: siteKey(),
    ...segment(),
    fromMs: ms("from_ms").notNull(),
    toMs: doublePrecision("to_ms").notNull(),
    samples: integer("samples").notNull(),
    maxDifferenceV: doublePrecision("max_difference_v").notNull(),
    maxDifferenceAtMs: ms("max_difference_at_ms").notNull(),
    l1V: doublePrecision("l1_v").notNull(),
    l2V: doublePrecision("l2_v").notNull(),
    l1W: doublePrecision("l1_w").notNull(),
    l2W: doublePrecision("l2_w").notNull(),
    source: text("source").$type<Source>().notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs] })],
);

/** From an instant on the log has another nominal interval, `IntervalChange`. */
export const intervalChange = pgTable(
  "interval_change",
  {
    siteId: siteKey(),
    ...segment(),
    fromMs: ms("from_ms").notNull(),
    nominalMs: doublePrecision("nominal_ms").notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs] })],
);

/** A hole in the log, `Gap`. */
export const gap = pgTable(
  "gap",
  {
    siteId: siteKey(),
    ...segment(),
    fromMs: doublePrecision("from_ms").notNull(),
    toMs: ms("to_ms").notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.fromMs] })],
);

/**
 * A remark on the results, `Note`, in the order in which the analysis gave them. Those that speak of one local
 * day have its date.
 */
export const resultNote = pgTable(
  "result_note",
  {
    siteId: siteKey(),
    ordinal: integer("ordinal").notNull(),
    date: text("date"),
    code: text("code").notNull(),
    figures: jsonb("figures").$type<unknown>().notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.ordinal] }),
    index("result_note_date").on(table.siteId, table.date),
  ],
);

/**
 * What stands once for the whole history: coverage (its gaps are rows of their own), energies, the return delay,
 * and what they were computed with and from.
 */
export const siteResult = pgTable("site_result", {
  siteId: siteKey().primaryKey(),
  coverage: jsonb("coverage").$type<Omit<Coverage, "gaps">>().notNull(),
  total: jsonb("total").$type<EnergyShares>().notNull(),
  returnDelay: jsonb("return_delay").$type<ReturnDelay>().notNull(),
  settings: jsonb("settings").$type<Settings>().notNull(),
  /** Nominal interval of the logger, ms; null under two samples. */
  nominalMs: doublePrecision("nominal_ms"),
  notesDigest: text("notes_digest").notNull(),
  /** Version of the analysis that the results are of; what an older one found is computed anew. */
  passVersion: integer("pass_version").notNull().default(0),
  /** Hash of everything beside the samples that the pass over them depended on. */
  passConfig: text("pass_config").notNull(),
  /** Hash of what the conclusions depended on beside the events and days. */
  concludeConfig: text("conclude_config").notNull(),
  firstSocPct: doublePrecision("first_soc_pct"),
  faultWords: jsonb("fault_words").$type<FaultWord[]>().notNull(),
});

/** Where the pass over a site's samples stood at a local midnight, compressed; a recompute goes on from it. */
export const keptState = pgTable(
  "kept_state",
  {
    siteId: siteKey(),
    midnightMs: ms("midnight_ms").notNull(),
    /** Hash of what the pass depended on by then. */
    passConfig: text("pass_config").notNull(),
    state: bytea("state").notNull(),
  },
  (table) => [primaryKey({ columns: [table.siteId, table.midnightMs] })],
);
