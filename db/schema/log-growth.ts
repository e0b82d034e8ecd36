import {
  bigint,
  customType,
  foreignKey,
  index,
  integer,
  pgTable,
  primaryKey,
  text,
} from "drizzle-orm/pg-core";
import { log } from "./log";

const bytea = customType<{ data: Buffer }>({ dataType: () => "bytea" });

/**
 * What it takes to go on with a log that was read from a file, once the file has grown: how its old part is recognised,
 * and where its reading stood. Nothing of it is more than a short cut: without it a log is read from its beginning.
 */
export const logGrowth = pgTable(
  "log_growth",
  {
    siteId: integer("site_id").notNull(),
    logId: integer("log_id").notNull(),
    /** Which file it was (device and inode) when it was last read; null where the system doesn't say. */
    fileId: text("file_id"),
    /** SHA-256 of each whole block of half a mebibyte, then of what is left; null for a log of less than one block. */
    blocks: bytea("blocks"),
    /** State of the SHA-256 of the whole content, to be continued. */
    shaState: bytea("sha_state"),
    /** Bytes that were read as whole lines; null where reading can't go on. */
    readBytes: bigint("read_bytes", { mode: "number" }),
    /** What the reader carried there. */
    reading: bytea("reading"),
    /** The first sample that came after it, which more rows can change. */
    tailFromMs: bigint("tail_from_ms", { mode: "number" }),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.logId] }),
    index("log_growth_file").on(table.siteId, table.fileId),
    foreignKey({ columns: [table.siteId, table.logId], foreignColumns: [log.siteId, log.logId] }).onDelete(
      "cascade",
    ),
  ],
);
