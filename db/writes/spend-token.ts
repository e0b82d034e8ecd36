import type { Database } from "../open-database";
import type { TokenScope } from "../schema/api-token";
import { tokenHash } from "../token-hash";

/** A token that may be used, and whether this request is one too many. */
export type SpentToken = {
  tokenId: number;
  /** `ALL_SITES` for every site. */
  siteId: number;
  name: string;
  scope: TokenScope;
  /** Whole seconds until a request is allowed again; null where this one is. */
  retryAfterS: number | null;
};

/** Requests a second that a token may go on making, and so many at once after a rest. */
export const TOKEN_RATE = { perS: 20, burst: 60 };

/**
 * Looks a token up, takes one request out of its allowance and notes that it was used: one statement, so that
 * requests at the same moment, of any number of web servers, are counted one after the other.
 *
 * The commit isn't waited for on the disk: what a crash loses is a few requests of the count.
 *
 * @returns null for a token that nobody made, or that was revoked
 */
export async function spendToken(database: Pick<Database, "sql">, token: string): Promise<SpentToken | null> {
  const { perS, burst } = TOKEN_RATE;
  const [spent] = await database.sql<(Omit<SpentToken, "retryAfterS"> & { filled: number })[]>`
    with quick as materialized (
      select set_config('synchronous_commit', 'off', true),
        (extract(epoch from clock_timestamp()) * 1000)::bigint as now_ms),
    found as materialized (
      select site_id, token_id, now_ms,
        least(${burst}, coalesce(allowance, ${burst})
          + greatest(0, now_ms - coalesce(allowance_at_ms, now_ms)) * ${perS / 1000}::float8) as filled
      from api_token, quick where sha256 = ${tokenHash(token)} and revoked_at_ms is null
      for update of api_token)
    update api_token t set allowance = case when filled >= 1 then filled - 1 else filled end,
      allowance_at_ms = now_ms, last_used_at_ms = now_ms
    from found where t.site_id = found.site_id and t.token_id = found.token_id
    returning t.token_id as "tokenId", t.site_id as "siteId", name, scope, filled`;
  if (spent === undefined) return null;
  const { filled, ...found } = spent;
  return { ...found, retryAfterS: filled >= 1 ? null : Math.max(1, Math.ceil((1 - filled) / perS)) };
}
