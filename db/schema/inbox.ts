import { integer, pgTable, text } from "drizzle-orm/pg-core";
import { site } from "./site";

/** Sites whose inbox is a folder of their own choice; the others have theirs in the data folder. */
export const inbox = pgTable("inbox", {
  siteId: integer("site_id")
    .primaryKey()
    .references(() => site.siteId, { onDelete: "cascade" }),
  /** Absolute path, on the machine whose worker takes files from it. */
  folder: text("folder").notNull(),
});
