import { tokensOf } from "../../../db/queries/tokens-of";
import type { Command } from "../command";
import { findSite } from "../find-site";
import { printJson } from "../print-json";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

/** `token list`: lists the tokens of the HTTP API. */
export const tokenListCommand: Command = {
  name: "token list",
  summary: "lists the tokens of the HTTP API",
  usage: "legroom token list [--site NAME] [--json]",
  description: `Prints each token's id, name, scope and site, when it was made, last used and revoked (UTC): those that are good for one
site, or all. Tokens themselves aren't kept, and so can't be listed.`,
  maxWords: 0,
  options: { site: { type: "string" }, json: { type: "boolean" } },
  run: (input) =>
    withDatabase(async (database) => {
      const siteName = input.text("site");
      const siteId = siteName === undefined ? undefined : (await findSite(database, siteName)).siteId;
      const tokens = await tokensOf(database, siteId);
      const iso = (atMs: number | null) => (atMs === null ? null : new Date(atMs).toISOString());
      if (input.flag("json")) {
        await printJson({
          version: 1,
          tokens: tokens.map((token) => ({
            tokenId: token.tokenId,
            name: token.name,
            scope: token.scope,
            site: token.siteName,
            createdAt: iso(token.createdAtMs),
            lastUsedAt: iso(token.lastUsedAtMs),
            revokedAt: iso(token.revokedAtMs),
          })),
        });
        return 0;
      }
      if (tokens.length === 0) await writeOut('No token yet: make one with "legroom token add".\n');
      for (const token of tokens) {
        const used = token.lastUsedAtMs === null ? "never used" : `last used ${iso(token.lastUsedAtMs)}`;
        const revoked = token.revokedAtMs === null ? "" : `, revoked ${iso(token.revokedAtMs)}`;
        await writeOut(
          `${token.tokenId}  ${token.name}: ${token.scope}, ${token.siteName ?? "all sites"}, made ${iso(token.createdAtMs)}, ${used}${revoked}\n`,
        );
      }
      return 0;
    }),
};
