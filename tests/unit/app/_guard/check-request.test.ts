import { describe, expect, it } from "vitest";
import { checkRequest } from "../../../../app/_guard/check-request";

const request = (method: string, headers: Record<string, string>) => ({
  method,
  headers: new Headers(headers),
});

describe("checkRequest", () => {
  it("lets reading through under the loopback names, with any port", () => {
    for (const host of ["localhost", "localhost:3000", "127.0.0.1:8080", "[::1]:3000"]) {
      expect(checkRequest(request("GET", { host }), undefined)).toBeNull();
    }
  });

  it("refuses a foreign name, and one that only begins like a loopback one", () => {
    for (const host of ["example.com", "localhost.example.com:3000", "127.0.0.1.example.com", ""]) {
      expect(checkRequest(request("GET", { host }), undefined)?.status).toBe(421);
    }
  });

  it("lets the hosts through that LEGROOM_HOSTS names", () => {
    const named = request("GET", { host: "studio.example:3000" });
    expect(checkRequest(named, "other.example, studio.example")).toBeNull();
    expect(checkRequest(named, "other.example")?.status).toBe(421);
    expect(checkRequest(request("GET", { host: "" }), "a, ,b")?.status).toBe(421);
  });

  it("lets a change through from its own origin only", () => {
    const host = "127.0.0.1:3000";
    expect(checkRequest(request("POST", { host, origin: "http://127.0.0.1:3000" }), undefined)).toBeNull();
    for (const origin of ["http://127.0.0.1:3001", "https://example.com", "null", "nonsense"]) {
      expect(checkRequest(request("POST", { host, origin }), undefined)?.status).toBe(403);
    }
    expect(checkRequest(request("DELETE", { host }), undefined)?.status).toBe(403);
  });

  it("asks for the password where there is one, and for nothing where there is none", () => {
    const host = "127.0.0.1:3000";
    const basic = (text: string) => ({
      host,
      authorization: `Basic ${Buffer.from(text).toString("base64")}`,
    });
    const check = (headers: Record<string, string>) =>
      checkRequest(request("GET", headers), undefined, "kiln öffnet");
    expect(check({ host })?.status).toBe(401);
    expect(check({ host })?.headers?.["www-authenticate"]).toContain("Basic");
    for (const wrong of ["owner:kiln", "kiln öffnet", "owner:", ":kiln öffnet "]) {
      expect(check(basic(wrong))?.status).toBe(401);
    }
    expect(check({ host, authorization: "Bearer abc" })?.status).toBe(401);
    expect(check(basic("owner:kiln öffnet"))).toBeNull();
    expect(checkRequest(request("GET", { host }), undefined, "")).toBeNull();
    expect(checkRequest(request("GET", { host }), undefined, undefined)).toBeNull();
  });
});
