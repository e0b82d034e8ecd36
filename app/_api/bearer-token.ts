import { AppError } from "../../db/app-error";
import { MAX_AUTHORIZATION } from "./api-limits";

/** A refusal that tells what would be let through (RFC 9110, 11.6.1; RFC 6750, 3). */
export class Challenge extends AppError {
  constructor(
    code: "unauthorized" | "forbidden",
    message: string,
    hint: string,
    /** Of the header WWW-Authenticate. */
    readonly challenge: string,
  ) {
    super(code, message, { more: { hint } });
  }
}

/**
 * The token of `Authorization: Bearer …` (RFC 6750, 2.1). A token in the address or the body isn't looked for: it
 * would end up in logs.
 *
 * @throws Challenge unauthorized where there is none
 */
export function bearerToken(headers: Headers): string {
  const given = headers.get("authorization");
  const match = (given ?? "").length > MAX_AUTHORIZATION ? null : BEARER.exec(given ?? "");
  if (match !== null) return match[1];
  throw new Challenge(
    "unauthorized",
    given === null
      ? "The request carries no token."
      : 'The header Authorization isn\'t of the form "Bearer TOKEN".',
    MAKE_ONE,
    REALM,
  );
}

/** The refusal of a token that nobody made, or that was revoked. */
export function unknownToken(): Challenge {
  return new Challenge(
    "unauthorized",
    "The token isn't one of this program's, or it was revoked.",
    MAKE_ONE,
    `${REALM}, error="invalid_token", error_description="unknown or revoked"`,
  );
}

/** The refusal of a token that is good, but not for this. */
export function insufficientScope(message: string, hint: string, scope: string): Challenge {
  return new Challenge("forbidden", message, hint, `${REALM}, error="insufficient_scope", scope="${scope}"`);
}

const BEARER = /^bearer +([\w~+/.-]+=*) *$/i;

const REALM = 'Bearer realm="Legroom"';

const MAKE_ONE =
  'Make a token on the site\'s settings screen or by "legroom token add", and send it as "Authorization: Bearer TOKEN".';
