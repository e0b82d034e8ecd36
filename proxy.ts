import { type NextRequest, NextResponse } from "next/server";
import { checkRequest } from "./app/_guard/check-request";

/**
 * Before every request: Host and Origin, and the policy under which the page's scripts run. The upload of a
 * log and the HTTP API are left out, because Next holds the body of what passes here in memory and cuts it off; their
 * handlers make their checks themselves: the API's asks for a token where this one asks for Origin and password.
 */
export function proxy(request: NextRequest): NextResponse {
  const refusal = checkRequest(request);
  if (refusal !== null) {
    return new NextResponse(`${refusal.message}\n`, {
      status: refusal.status,
      headers: { ...refusal.headers, "content-type": "text/plain; charset=utf-8" },
    });
  }
  const policy = contentPolicy(crypto.randomUUID());
  const headers = new Headers(request.headers);
  headers.set("content-security-policy", policy);
  const response = NextResponse.next({ request: { headers } });
  response.headers.set("content-security-policy", policy);
  return response;
}

export const config = {
  matcher: ["/((?!_next/static|api/v1/|sites/[^/]+/logs/upload$).*)"],
};

function contentPolicy(nonce: string): string {
  const development = process.env.NODE_ENV === "development" ? " 'unsafe-eval'" : "";
  return [
    "default-src 'self'",
    `script-src 'self' 'nonce-${nonce}' 'strict-dynamic'${development}`,
    // Widths of bars and the drawings carry their style in attributes, which no nonce can cover.
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data:",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
  ].join("; ");
}
