import { ALL_SITES, TOKEN_SCOPES, type TokenScope } from "../../../db/schema/api-token";
import { addToken } from "../../../db/writes/add-token";
import type { Command } from "../command";
import { CommandError } from "../command-error";
import { findSite } from "../find-site";
import { printJson } from "../print-json";
import { withDatabase } from "../with-database";
import { writeOut } from "../write-out";

const USAGE = "legroom token add (--site NAME | --all-sites) --scope read|write [--name TEXT] [--json]";

/** `token add`: makes a token of the HTTP API and prints it, this once. */
export const tokenAddCommand: Command = {
  name: "token add",
  summary: "makes a token of the HTTP API",
  usage: USAGE,
  description: `Prints a token by which a program may send logs of a site and read its results (scope write), or read only (scope read):
"Authorization: Bearer TOKEN". It is printed this once; only its SHA-256 is kept.`,
  maxWords: 0,
  options: {
    site: { type: "string" },
    "all-sites": { type: "boolean" },
    scope: { type: "string" },
    name: { type: "string" },
    json: { type: "boolean" },
  },
  async run(input) {
    const siteName = input.text("site");
    if ((siteName !== undefined) === input.flag("all-sites")) {
      throw new CommandError(2, "token add needs either --site or --all-sites.", [USAGE]);
    }
    const scope = input.text("scope");
    if (!TOKEN_SCOPES.some((known) => known === scope)) {
      throw new CommandError(2, `token add needs --scope ${TOKEN_SCOPES.join(" or --scope ")}.`, [USAGE]);
    }
    return withDatabase(async (database) => {
      const siteId = siteName === undefined ? ALL_SITES : (await findSite(database, siteName)).siteId;
      const name = input.text("name") ?? (scope === "write" ? "logger" : "reader");
      const made = await addToken(database, { siteId, scope: scope as TokenScope, name });
      if (input.flag("json")) await printJson({ version: 1, ...made, name, scope, site: siteName ?? null });
      else {
        await writeOut(`${made.token}\n`);
        process.stderr.write(
          `Token ${made.tokenId}, "${name}", may ${scope === "write" ? "send logs and read" : "read"}. It isn't shown again.\n`,
        );
      }
      return 0;
    });
  },
};
