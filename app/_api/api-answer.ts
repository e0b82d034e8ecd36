import { AppError } from "../../db/app-error";
import type { Database } from "../../db/open-database";
import { type SiteRow, siteBySlug } from "../../db/queries/site-by-slug";
import { ALL_SITES, type TokenScope } from "../../db/schema/api-token";
import { sharedDatabase } from "../../db/shared-database";
import { toAppError } from "../../db/to-app-error";
import { type SpentToken, spendToken } from "../../db/writes/spend-token";
import { checkHost } from "../_guard/check-host";
import { bearerToken, Challenge, insufficientScope, unknownToken } from "./bearer-token";
import { problemResponse } from "./problem";

/** Who asks, and with what the answer is made. */
export type ApiCaller = { database: Database; token: SpentToken };

/**
 * A route handler's answer to a request of the HTTP API: the request's Host is one that this program answers as, its
 * token is good for `scope` and has an allowance left, or the answer says what is missing. Whatever fails becomes a
 * problem (RFC 9457).
 */
export async function apiAnswer(
  request: Request,
  scope: TokenScope,
  respond: (caller: ApiCaller) => Promise<Response>,
): Promise<Response> {
  const { pathname, search } = new URL(request.url);
  try {
    const foreign = checkHost(request.headers);
    if (foreign !== null) return problemResponse(new AppError("misdirected", foreign), pathname);
    const given = bearerToken(request.headers);
    const database = await sharedDatabase();
    const token = await spendToken(database, given);
    if (token === null) throw unknownToken();
    if (token.retryAfterS !== null) {
      throw new AppError("too-many", `The token "${token.name}" makes more requests than are taken.`, {
        more: {
          hint: "Send several rows in one log rather than one log a row, and wait as long as Retry-After says.",
          retryAfterS: token.retryAfterS,
        },
      });
    }
    if (scope === "write" && token.scope !== "write") {
      throw insufficientScope(
        `The token "${token.name}" may read, and this needs one that may write.`,
        "Make a token of the scope write.",
        "write",
      );
    }
    return await respond({ database, token });
  } catch (thrown) {
    const error = toAppError(thrown);
    if (!(error instanceof AppError)) console.error(error);
    const headers: HeadersInit = error instanceof Challenge ? { "www-authenticate": error.challenge } : {};
    return problemResponse(error, `${pathname}${search}`, headers);
  }
}

/**
 * As `apiAnswer`, about one site: the token must be good for it.
 *
 * @param params with the site's slug as it stands in the address
 */
export function apiSiteAnswer(
  request: Request,
  scope: TokenScope,
  params: Promise<{ site: string }>,
  respond: (caller: ApiCaller & { site: SiteRow }) => Promise<Response>,
): Promise<Response> {
  return apiAnswer(request, scope, async ({ database, token }) => {
    const slug = addressPart((await params).site);
    const site = await siteBySlug(database, slug);
    // A token of one site isn't told which others there are.
    if (token.siteId !== ALL_SITES && site?.siteId !== token.siteId) {
      throw insufficientScope(
        `The token "${token.name}" isn't good for the site "${slug}".`,
        "Use a token of that site, or one that is good for all sites.",
        scope,
      );
    }
    if (site === null) {
      throw new AppError("not-found", `There is no site "${slug}".`, {
        more: { hint: "GET /api/v1/sites lists the sites with their slugs." },
      });
    }
    return respond({ database, token, site });
  });
}

/** A part of an address as it was meant; one that isn't encoded as it should be stays as it is, and is found nowhere. */
function addressPart(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
