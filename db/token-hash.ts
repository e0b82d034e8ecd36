import { createHash } from "node:crypto";

/** What is kept of a token of the HTTP API and looked up by: its SHA-256 (FIPS 180-4) in hexadecimal digits. */
export function tokenHash(token: string): string {
  return createHash("sha256").update(token).digest("hex");
}
