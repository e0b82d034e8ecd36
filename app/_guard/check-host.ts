/**
 * Why a request's Host is not answered, null where it is: a loopback name, or one of `LEGROOM_HOSTS` (comma-separated,
 * with or without port), so that a foreign name made to point at this computer reaches nothing.
 */
export function checkHost(headers: Headers, allowedHosts = process.env.LEGROOM_HOSTS): string | null {
  const host = headers.get("host")?.toLowerCase() ?? "";
  if (isAllowed(host, allowedHosts)) return null;
  return (
    `This program doesn't answer as "${host.slice(0, MAX_QUOTED)}". Open it as localhost or 127.0.0.1, ` +
    "or name the host in LEGROOM_HOSTS."
  );
}

const MAX_QUOTED = 100;
const LOOPBACK = new Set(["localhost", "127.0.0.1", "[::1]"]);

function isAllowed(host: string, allowedHosts: string | undefined): boolean {
  const name = host.replace(/:\d+$/, "");
  if (LOOPBACK.has(name)) return true;
  const named = (allowedHosts ?? "").toLowerCase().split(",");
  return named.some((entry) => entry.trim() !== "" && (entry.trim() === host || entry.trim() === name));
}
