import { describe, expect, it } from "vitest";
import { parseTimePattern } from "../../../src/site/parse-time-pattern";

describe("parseTimePattern", () => {
  it("takes a pattern apart into fields and the marks between them", () => {
    expect(parseTimePattern("d/M/yy 'um' h a")).toEqual({
      ok: true,
      parts: [
        { field: "day", width: 1 },
        { text: "/" },
        { field: "month", width: 1 },
        { text: "/" },
        { field: "year", width: 2 },
        { text: " " },
        { text: "um" },
        { text: " " },
        { field: "hour12", width: 1 },
        { text: " " },
        { field: "half", width: 1 },
      ],
    });
  });

  it.each([
    ["dd/MM HH", "no year"],
    ["dd/MM/yyyy", "no hour"],
    ["yyyy-MM-dd hh:mm", "without"],
    ["yyyy-MM-dd HH:mm dd", "day twice"],
    ["yyyy-MM-dd QQ HH", "no field"],
    ["yyyy-MM-dd 'T HH", "never closed"],
  ])("refuses %s", (pattern, message) => {
    const parsed = parseTimePattern(pattern);
    expect(parsed.ok ? "" : parsed.message).toContain(message);
  });
});
