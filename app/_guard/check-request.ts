/** Why a request is refused, with the HTTP status for it. */
export type Refusal = { status: 403 | 421; message: string };

/** What of a request the check looks at. */
export type CheckedRequest = { method: string; headers: Headers };

/**
 * Refuses a request that doesn't come from this program's own pages: null where it may pass.
 *
 * The Host must be a loopback name or one of `LEGROOM_HOSTS` (comma-separated, with or without port), so that
 * a foreign name made to point at this computer reaches nothing. What changes something must also carry this
 * host as its Origin; browsers send one with every such request, and only pages need to pass here.
 */
export function checkRequest(
  request: CheckedRequest,
  allowedHosts = process.env.LEGROOM_HOSTS,
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

function hostOf(origin: string): string | null {
  return URL.canParse(origin) ? new URL(origin).host : null;
}
