import { createHash, timingSafeEqual } from "node:crypto";

/** Why a request is refused, with the HTTP status for it and what the answer's headers must say. */
export type Refusal = { status: 401 | 403 | 421; message: string; headers?: Record<string, string> };

/** What of a request the check looks at. */
export type CheckedRequest = { method: string; headers: Headers };

/**
 * Refuses a request that doesn't come from this program's own pages: null where it may pass.
 *
 * The Host must be a loopback name or one of `LEGROOM_HOSTS` (comma-separated, with or without port), so that
 * a foreign name made to point at this computer reaches nothing. What changes something must also carry this
 * host as its Origin; browsers send one with every such request, and only pages need to pass here. Where
 * `LEGROOM_PASSWORD` is set, every request must carry it (HTTP Basic, RFC 7617, any user name).
 */
export function checkRequest(
  request: CheckedRequest,
  allowedHosts = process.env.LEGROOM_HOSTS,
  password = process.env.LEGROOM_PASSWORD,
): Refusal | null {
  const host = request.headers.get("host")?.toLowerCase() ?? "";
  if (!isAllowed(host, allowedHosts)) {
    return {
      status: 421,
      message:
        `This program doesn't answer as "${host.slice(0, MAX_QUOTED)}". Open it as localhost or 127.0.0.1, ` +
        "or name the host in LEGROOM_HOSTS.",
    };
  }
  if (password !== undefined && password !== "" && !carries(request.headers, password)) {
    return {
      status: 401,
      message: "This program asks for the password that it was started with (LEGROOM_PASSWORD).",
      headers: { "www-authenticate": 'Basic realm="Legroom", charset="UTF-8"' },
    };
  }
  if (request.method === "GET" || request.method === "HEAD") return null;
  const origin = request.headers.get("origin");
  if (origin === null || hostOf(origin) !== host) {
    return {
      status: 403,
      message: "Changes are only taken from this program's own pages: the request's Origin is another one.",
    };
  }
  return null;
}

const MAX_QUOTED = 100;
const LOOPBACK = new Set(["localhost", "127.0.0.1", "[::1]"]);

function isAllowed(host: string, allowedHosts: string | undefined): boolean {
  const name = host.replace(/:\d+$/, "");
  if (LOOPBACK.has(name)) return true;
  const named = (allowedHosts ?? "").toLowerCase().split(",");
  return named.some((entry) => entry.trim() !== "" && (entry.trim() === host || entry.trim() === name));
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
