import { randomBytes } from "node:crypto";
import { AppError } from "../app-error";
import type { Database } from "../open-database";
import { apiToken, type TokenScope } from "../schema/api-token";
import { tokenHash } from "../token-hash";

/** What a token is made for. */
export type TokenRequest = {
  /** `ALL_SITES` for every site, those to come too. */
  siteId: number;
  scope: TokenScope;
  /** What it is called in lists: whose it is, what uses it. */
  name: string;
};

/** Random bits of a token; as many as its hash has, so that neither is easier to guess. */
const TOKEN_BYTES = 32;

/** Marks a token as one of this program where it is found by chance, in a log or a repository. */
const PREFIX = "legroom_";

const MAX_NAME_CHARACTERS = 80;

/**
 * Makes a token of the HTTP API. It is given back this once: only its SHA-256 is kept.
 *
 * @returns the token, and its number in lists
 * @throws AppError bad-input where the name is empty or too long
 */
export async function addToken(
  database: Pick<Database, "orm">,
  { siteId, scope, name }: TokenRequest,
): Promise<{ tokenId: number; token: string }> {
  const called = name.replace(/\p{Cc}+/gu, " ").trim();
  if (called === "" || called.length > MAX_NAME_CHARACTERS) {
    throw new AppError(
      "bad-input",
      `A token needs a name of 1 to ${MAX_NAME_CHARACTERS} characters, such as what will use it.`,
    );
  }
  const token = `${PREFIX}${randomBytes(TOKEN_BYTES).toString("base64url")}`;
  const [added] = await database.orm
    .insert(apiToken)
    .values({ siteId, scope, name: called, sha256: tokenHash(token) })
    .returning({ tokenId: apiToken.tokenId });
  return { ...added, token };
}
