import {
  bigint,
  doublePrecision,
  integer,
  pgTable,
  primaryKey,
  text,
  uniqueIndex,
} from "drizzle-orm/pg-core";
import { NOW_MS } from "./now-ms";

/** `read`: what a site's logs and results say. `write`: that, and sending logs in. */
export const TOKEN_SCOPES = ["read", "write"] as const;

export type TokenScope = (typeof TOKEN_SCOPES)[number];

/** `site_id` of a token that is good for every site. */
export const ALL_SITES = 0;

/**
 * Tokens of the HTTP API. Of a token only its SHA-256 is kept: it is 256 random bits, which nobody can guess and no
 * dictionary holds, so that the slow, salted hashes that passwords need would add nothing but work to every request.
 *
 * `allowance` is how many requests the token may make at once, as it stood at `allowance_at_ms` (null before the first
 * one: all of it). It stands here and not in a web server's memory, so that the rate is one whatever number of web
 * servers there is; it changes in the statement that looks the token up. `site_id` is 0 for all sites, and so no
 * foreign key.
 */
export const apiToken = pgTable(
  "api_token",
  {
    siteId: integer("site_id").notNull(),
    tokenId: integer("token_id").generatedAlwaysAsIdentity().notNull(),
    name: text("name").notNull(),
    scope: text("scope").$type<TokenScope>().notNull(),
    sha256: text("sha256").notNull(),
    createdAtMs: bigint("created_at_ms", { mode: "number" }).notNull().default(NOW_MS),
    lastUsedAtMs: bigint("last_used_at_ms", { mode: "number" }),
    revokedAtMs: bigint("revoked_at_ms", { mode: "number" }),
    allowance: doublePrecision("allowance"),
    allowanceAtMs: bigint("allowance_at_ms", { mode: "number" }),
  },
  (table) => [
    primaryKey({ columns: [table.siteId, table.tokenId] }),
    uniqueIndex("api_token_sha256").on(table.sha256),
  ],
);
