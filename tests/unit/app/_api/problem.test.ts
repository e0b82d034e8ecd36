import { describe, expect, it } from "vitest";
import { problemResponse } from "../../../../app/_api/problem";
import { AppError, HTTP_STATUS } from "../../../../db/app-error";

describe("problemResponse", () => {
  it("has the members of RFC 9457 and our own beside them", async () => {
    const error = new AppError("bad-input", "The name is missing.", {
      more: { where: "query, name", hint: "Give one.", figures: { most: 255 } },
    });
    const response = problemResponse(error, "/api/v1/sites?x=1");
    expect(response.status).toBe(400);
    expect(response.headers.get("content-type")).toBe("application/problem+json");
    expect(response.headers.get("retry-after")).toBeNull();
    expect(await response.json()).toEqual({
      type: "/api/v1/problems/bad-input",
      title: "Something in the request is wrong",
      status: 400,
      detail: "The name is missing.",
      instance: "/api/v1/sites?x=1",
      code: "bad-input",
      where: "query, name",
      hint: "Give one.",
      most: 255,
    });
  });

  it("takes the status of each code from the one map, and has a title of its own for each", async () => {
    const titles = new Set<string>();
    for (const [code, status] of Object.entries(HTTP_STATUS)) {
      const response = problemResponse(new AppError(code as keyof typeof HTTP_STATUS, "x"), "/");
      expect(response.status).toBe(status);
      const body = await response.json();
      expect(body).toMatchObject({ code, status });
      titles.add(body.title);
    }
    expect(titles.size).toBe(Object.keys(HTTP_STATUS).length);
  });

  it("says after how many seconds to come back, as a header too", async () => {
    const response = problemResponse(new AppError("too-many", "x", { more: { retryAfterS: 7 } }), "/");
    expect(response.status).toBe(429);
    expect(response.headers.get("retry-after")).toBe("7");
    expect(await response.json()).toMatchObject({ retryAfterS: 7 });
  });

  it("tells nothing of a defect but that it is one", async () => {
    const response = problemResponse(new Error("password=hunter2"), "/");
    expect(response.status).toBe(500);
    const text = await response.text();
    expect(text).toContain('"code":"defect"');
    expect(text).not.toContain("hunter2");
  });
});
