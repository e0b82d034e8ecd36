import { describe, expect, it } from "vitest";
import { bearerToken, Challenge, insufficientScope, unknownToken } from "../../../../app/_api/bearer-token";

const headers = (authorization?: string) => new Headers(authorization === undefined ? {} : { authorization });

function challengeOf(authorization?: string): string {
  try {
    bearerToken(headers(authorization));
  } catch (error) {
    if (error instanceof Challenge) return error.challenge;
  }
  throw new Error("not refused");
}

describe("bearerToken", () => {
  it("is what follows the scheme, whose case doesn't count", () => {
    expect(bearerToken(headers("Bearer legroom_a-b_c"))).toBe("legroom_a-b_c");
    expect(bearerToken(headers("bearer  abc=="))).toBe("abc==");
  });

  it("asks for one, with nothing but the realm, where there is none or another scheme (RFC 6750, 3)", () => {
    for (const given of [undefined, "", "Bearer", "Bearer ", "Basic dXNlcjpw", "Bearer a b", "Bearer a,b"]) {
      expect(challengeOf(given), String(given)).toBe('Bearer realm="Legroom"');
    }
  });

  it("takes no token of any length", () => {
    expect(challengeOf(`Bearer ${"a".repeat(10_000)}`)).toBe('Bearer realm="Legroom"');
  });
});

describe("refusals", () => {
  it("name the error as RFC 6750 has it", () => {
    expect(unknownToken()).toMatchObject({
      status: 401,
      challenge: expect.stringContaining('error="invalid_token"'),
    });
    expect(insufficientScope("x", "y", "write")).toMatchObject({
      status: 403,
      challenge: 'Bearer realm="Legroom", error="insufficient_scope", scope="write"',
    });
  });
});
