import { sql } from "drizzle-orm";
import {
  bigint,
  boolean,
  customType,
  foreignKey,
  index,
  integer,
  jsonb,
  pgTable,
  primaryKey,
  text,
  uniqueIndex,
} from "drizzle-orm/pg-core";
import { logger } from "./logger";
import { NOW_MS } from "./now-ms";

const bytea = customType<{ data: Buffer }>({ dataType: () => "bytea" });

/**
 * `received`: kept, without a map so far. `imported`: its samples are in the fold. `withdrawn`: they were, and can be
 * again, at its old position.
 */
export const LOG_STATES = ["received", "imported", "refused", "withdrawn"] as const;

export type LogState = (typeof LOG_STATES)[number];

/**
 * Every log as it came: by content (sha256 of the bytes) once per logger, with its column map, the verdict
 * of reading it and its place in the order in which the fold takes them.
 */
export const log = pgTable(
  "log",
  {
    siteId: integer("site_id").notNull(),
    logId: integer("log_id").generatedAlwaysAsIdentity().notNull(),
    loggerId: integer("logger_id").notNull(),
    sha256: text("sha256").notNull(),
    name: text("name").notNull(),
    sizeBytes: bigint("size_bytes", { mode: "number" }).notNull(),
    compressedBytes: bigint("compressed_bytes", { mode: "number" }).notNull(),
    columnMap: jsonb("column_map").$type<unknown>(),
    /** What the map was inferred from, where it was. */
    evidence: jsonb("evidence").$type<unknown>(),
    /** Counts, codes and notes of reading it. */
    verdict: jsonb("verdict").$type<unknown>(),
    state: text("state").$type<LogState>().notNull(),
    /** Choices of the map that were inferred; null for a log that was imported before this was kept. */
    guessed: text("guessed").array(),
    position: integer("position"),
    /** Whether samples of the logs before it don't count within a period of its own. */
    replaces: boolean("replaces").notNull().default(false),
    /** First and last instant of that period; null for its own first or last sample. */
    replacesFromMs: bigint("replaces_from_ms", { mode: "number" }),
    replacesToMs: bigint("replaces_to_ms", { mode: "number" }),
    firstMs: bigint("first_ms", { mode: "number" }),
    lastMs: bigint("last_ms", { mode: "number" }),
    /** How far its times were moved back as end stamps; null where it wasn't read or before this was kept. */
    shiftMs: bigint("shift_ms", { mode: "number" }),
    /** The site's zone when it was read. */
    siteZone: text("site_zone"),
    /** Its first 1,000 instants as they were written, which the nominal interval of the fold's stamps is taken from. */
    firstStampsMs: bigint("first_stamps_ms", { mode: "number" }).array(),
    receivedAtMs: bigint("received_at_ms", { mode: "number" }).notNull().default(NOW_MS),
    importedAtMs: bigint("imported_at_ms", { mode: "number" }),
    /** Why it was refused. */
    problem: jsonb("problem").$type<unknown>(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.logId] }),
    uniqueIndex("log_content")
      .on(table.siteId, table.loggerId, table.sha256)
      .where(sql`state <> 'withdrawn'`),
    // An import asks these whatever number of logs there is: loggers that send a row at a time make thousands.
    index("log_position").on(table.siteId, table.loggerId, table.position),
    index("log_first").on(table.siteId, table.loggerId, table.firstMs).where(sql`state = 'imported'`),
    index("log_end_stamps")
      .on(table.siteId, table.loggerId, table.shiftMs)
      .where(sql`state = 'imported' and column_map -> 'time' ->> 'stamps' = 'end'`),
    index("log_site_zone")
      .on(table.siteId, table.loggerId, table.siteZone)
      .where(sql`state = 'imported' and column_map -> 'time' ->> 'zone' = 'site'`),
    index("log_no_stamps")
      .on(table.siteId, table.loggerId)
      .where(sql`state = 'imported' and first_stamps_ms is null`),
    foreignKey({ columns: [table.siteId, table.loggerId], foreignColumns: [logger.siteId, logger.loggerId] }),
  ],
);

/** The bytes of a log, gzip-compressed as one stream and cut into pieces of about a megabyte. */
export const logChunk = pgTable(
  "log_chunk",
  {
    siteId: integer("site_id").notNull(),
    logId: integer("log_id").notNull(),
    seq: integer("seq").notNull(),
    bytes: bytea("bytes").notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.logId, table.seq] }),
    foreignKey({ columns: [table.siteId, table.logId], foreignColumns: [log.siteId, log.logId] }).onDelete(
      "cascade",
    ),
  ],
);

/**
 * The pieces of a received log that are looked at besides its head, one behind the other (`placesOfPieces` says where
 * they stood): they were gathered as it came in, so that it isn't unpacked to its end whenever its screen is opened.
 */
export const logFurther = pgTable(
  "log_further",
  {
    siteId: integer("site_id").notNull(),
    logId: integer("log_id").notNull(),
    bytes: bytea("bytes").notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.logId] }),
    foreignKey({ columns: [table.siteId, table.logId], foreignColumns: [log.siteId, log.logId] }).onDelete(
      "cascade",
    ),
  ],
);

/** Rows and cells of a log that could not be taken: at most 10,000 a log; the counts in its verdict are exact. */
export const reject = pgTable(
  "reject",
  {
    siteId: integer("site_id").notNull(),
    logId: integer("log_id").notNull(),
    ordinal: integer("ordinal").notNull(),
    line: bigint("line", { mode: "number" }),
    columnNo: integer("column_no"),
    columnName: text("column_name"),
    code: text("code").notNull(),
    /** The first 200 characters of what stood there. */
    text: text("text"),
    /** Whether the rule it broke was guessed (true) or given. */
    guessed: boolean("guessed").notNull(),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.logId, table.ordinal] }),
    foreignKey({ columns: [table.siteId, table.logId], foreignColumns: [log.siteId, log.logId] }).onDelete(
      "cascade",
    ),
  ],
);
