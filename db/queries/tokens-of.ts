import { asc, eq, inArray } from "drizzle-orm";
import type { Database } from "../open-database";
import { ALL_SITES, apiToken, type TokenScope } from "../schema/api-token";
import { site } from "../schema/site";

/** A token as lists show it: never the token itself, which isn't kept. */
export type TokenRow = {
  tokenId: number;
  /** `ALL_SITES` for every site. */
  siteId: number;
  /** Null for every site. */
  siteName: string | null;
  name: string;
  scope: TokenScope;
  createdAtMs: number;
  lastUsedAtMs: number | null;
  revokedAtMs: number | null;
};

/** Tokens in the order in which they were made: those that are good for a site, or all where none is named. */
export async function tokensOf(database: Pick<Database, "orm">, siteId?: number): Promise<TokenRow[]> {
  return database.orm
    .select({
      tokenId: apiToken.tokenId,
      siteId: apiToken.siteId,
      siteName: site.name,
      name: apiToken.name,
      scope: apiToken.scope,
      createdAtMs: apiToken.createdAtMs,
      lastUsedAtMs: apiToken.lastUsedAtMs,
      revokedAtMs: apiToken.revokedAtMs,
    })
    .from(apiToken)
    .leftJoin(site, eq(site.siteId, apiToken.siteId))
    .where(siteId === undefined ? undefined : inArray(apiToken.siteId, [siteId, ALL_SITES]))
    .orderBy(asc(apiToken.tokenId));
}
