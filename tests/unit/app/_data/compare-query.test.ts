import { describe, expect, it } from "vitest";
import { compareSearch, datesAround, parseCompareQuery } from "../../../../app/_data/compare-query";

const MONTHS = ["2026-03", "2026-04", "2026-05"];

describe("the query of Compare", () => {
  it("comes back as it was from its own address", () => {
    for (const query of [
      { kind: "months", a: "2026-03", b: "2026-05" },
      { kind: "change", change: "2026-05-14", days: 7 },
    ] as const) {
      const given = Object.fromEntries(new URLSearchParams(compareSearch(query)));
      expect(parseCompareQuery(given, MONTHS)).toEqual(query);
    }
  });

  it("is the latest month beside the one before it where nothing is asked", () => {
    expect(parseCompareQuery({}, MONTHS)).toEqual({ kind: "months", a: "2026-04", b: "2026-05" });
    expect(parseCompareQuery({ b: "2026-04" }, MONTHS)).toEqual({
      kind: "months",
      a: "2026-03",
      b: "2026-04",
    });
    expect(parseCompareQuery({ a: "2026-05", b: "2026-03" }, MONTHS)).toMatchObject({
      a: "2026-05",
      b: "2026-03",
    });
  });

  it("is nothing where there aren't two months", () => {
    expect(parseCompareQuery({}, ["2026-05"])).toBeNull();
    expect(parseCompareQuery({}, [])).toBeNull();
    expect(parseCompareQuery({ b: "2026-03" }, MONTHS)).toBeNull();
    expect(parseCompareQuery({ a: "2026-05", b: "2026-05" }, MONTHS)).toBeNull();
  });

  it("takes a day that there is, and days on each side within reason", () => {
    expect(parseCompareQuery({ change: "2026-02-30" }, ["2026-05"])).toBeNull();
    for (const days of ["0", "-3", "367", "1e3", "", undefined]) {
      expect(parseCompareQuery({ change: "2026-05-14", days }, [])).toEqual({
        kind: "change",
        change: "2026-05-14",
        days: 14,
      });
    }
  });

  it("leaves the day of the change to neither side", () => {
    expect(datesAround("2026-03-01", 2)).toEqual({
      before: ["2026-02-27", "2026-03-01"],
      after: ["2026-03-02", "2026-03-04"],
    });
  });
});
