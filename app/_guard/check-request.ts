import { createHash, timingSafeEqual } from "node:crypto";
import { checkHost } from "./check-host";

/** Why a request is refused, with the HTTP status for it and what the answer's headers must say. */
export type Refusal = { status: 401 | 403 | 421; message: string; headers?: Record<string, string> };

/** What of a request the check looks at. */
export type CheckedRequest = { method: string; headers: Headers };

/**
 * Refuses a request that doesn't come from this program's own pages: null where it may pass.
 *
 * The Host must be one that this program answers as (`checkHost`). What changes something must also carry this
 * host as its Origin; browsers send one with every such request, and only pages need to pass here. Where
 * `LEGROOM_PASSWORD` is set, every request must carry it (HTTP Basic, RFC 7617, any user name).
 */
export function checkRequest(
  request: CheckedRequest,
  allowedHosts = process.env.LEGROOM_HOSTS,
  password = process.env.LEGROOM_PASSWORD,
): Refusal | null {
  const foreign = checkHost(request.headers, allowedHosts);
  if (foreign !== null) return { status: 421, message: foreign };
  if (password !== undefined && password !== "" && !carries(request.headers, password)) {
    return {
      status: 401,
      message: "This program asks for the password that it was started with (LEGROOM_PASSWORD).",
      headers: { "www-authenticate": 'Basic realm="Legroom", charset="UTF-8"' },
    };
  }
  if (request.method === "GET" || request.method === "HEAD") return null;
  const host = request.headers.get("host")?.toLowerCase() ?? "";
  const origin = request.headers.get("origin");
  if (origin === null || hostOf(origin) !== host) {
    return {
      status: 403,
      message: "Changes are only taken from this program's own pages: the request's Origin is another one.",
    };
  }
  return null;
}

function carries(headers: Headers, password: string): boolean {
  const match = /^basic ([a-z0-9+/=]{1,1000})$/i.exec(headers.get("authorization") ?? "");
  if (match === null) return false;
  const given = Buffer.from(match[1], "base64").toString("utf8");
  const at = given.indexOf(":");
  // Digests have one length, so the comparison takes as long whatever was given.
  return at >= 0 && timingSafeEqual(digest(given.slice(at + 1)), digest(password));
}

function digest(text: string): Buffer {
  return createHash("sha256").update(text).digest();
}

function hostOf(origin: string): string | null {
  return URL.canParse(origin) ? new URL(origin).host : null;
}
