import { and, eq, isNull, sql } from "drizzle-orm";
import type { Database } from "../open-database";
import { apiToken } from "../schema/api-token";
import { NOW_MS } from "../schema/now-ms";

/**
 * Revokes a token: from now on nothing is answered to it. It stays in lists.
 *
 * @param siteId only a token of this site (`ALL_SITES` for one of all); any where absent
 * @returns false where there is no such token or it was revoked before
 */
export async function revokeToken(
  database: Pick<Database, "orm">,
  tokenId: number,
  siteId?: number,
): Promise<boolean> {
  const revoked = await database.orm
    .update(apiToken)
    .set({ revokedAtMs: sql`${NOW_MS}` })
    .where(
      and(
        eq(apiToken.tokenId, tokenId),
        siteId === undefined ? undefined : eq(apiToken.siteId, siteId),
        isNull(apiToken.revokedAtMs),
      ),
    )
    .returning({ tokenId: apiToken.tokenId });
  return revoked.length > 0;
}
