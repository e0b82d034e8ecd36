import { describe, expect, it } from "vitest";
import {
  parsePeriod,
  periodDays,
  periodName,
  periodPhrase,
  periodSearch,
} from "../../../../app/_data/period-query";

const MONTHS = ["2026-04", "2026-05", "2026-06"];

describe("the period of an address", () => {
  it("is none where nothing is logged", () => {
    expect(parsePeriod({}, [])).toBeNull();
    expect(parsePeriod({ month: "all" }, [])).toBeNull();
  });

  it.each([
    [{}, { kind: "month", month: "2026-06" }],
    [{ month: "2026-05" }, { kind: "month", month: "2026-05" }],
    [{ month: "2031-05" }, { kind: "month", month: "2026-06" }],
    [{ month: ["2026-05", "2026-04"] }, { kind: "month", month: "2026-06" }],
    [{ month: "all" }, { kind: "all" }],
    [
      { from: "2026-05-03", to: "2026-05-09" },
      { kind: "days", from: "2026-05-03", to: "2026-05-09" },
    ],
    [
      { from: "2026-05-09", to: "2026-05-03" },
      { kind: "month", month: "2026-06" },
    ],
    [
      { from: "2026-02-30", to: "2026-03-01" },
      { kind: "month", month: "2026-06" },
    ],
    [{ from: "2026-05-03" }, { kind: "month", month: "2026-06" }],
  ])("is read: %j", (query, period) => {
    expect(parsePeriod(query, MONTHS)).toEqual(period);
  });

  it("comes back from the address that it makes", () => {
    for (const period of [
      { kind: "month", month: "2026-04" },
      { kind: "days", from: "2026-05-03", to: "2026-06-01" },
      { kind: "all" },
    ] as const) {
      const query = Object.fromEntries(new URLSearchParams(periodSearch(period)));
      expect(parsePeriod(query, MONTHS)).toEqual(period);
    }
  });

  it("has the site's local days, also across a change of the clock", () => {
    const days = periodDays({ kind: "days", from: "2026-03-08", to: "2026-03-08" }, MONTHS, "America/Denver");
    expect(days).toMatchObject({ fromDate: "2026-03-08", toDate: "2026-03-09" });
    expect(days.toMs - days.fromMs).toBe(23 * 3_600_000);
    expect(periodDays({ kind: "all" }, MONTHS, "America/Denver")).toMatchObject({
      fromDate: "2026-04-01",
      toDate: "2026-07-01",
      fromMs: Date.UTC(2026, 3, 1, 6),
      toMs: Date.UTC(2026, 6, 1, 6),
    });
    expect(periodDays({ kind: "month", month: "2026-12" }, ["2026-12"], "UTC").toDate).toBe("2027-01-01");
  });

  it("stands in a sentence", () => {
    expect(periodPhrase({ kind: "month", month: "2026-06" })).toBe("in June 2026");
    expect(periodPhrase({ kind: "all" })).toBe("in all that was logged");
    expect(periodPhrase({ kind: "days", from: "2026-05-03", to: "2026-05-03" })).toBe("on 3 May 2026");
    expect(periodPhrase({ kind: "days", from: "2026-05-03", to: "2026-05-04" })).toBe(
      "from 3 May 2026 to 4 May 2026",
    );
  });

  it("has a name", () => {
    expect(periodName({ kind: "month", month: "2026-06" })).toBe("June 2026");
    expect(periodName({ kind: "all" })).toBe("all that was logged");
    expect(periodName({ kind: "days", from: "2026-05-03", to: "2026-05-03" })).toBe("3 May 2026");
    expect(periodName({ kind: "days", from: "2026-05-03", to: "2026-06-01" })).toBe(
      "3 May 2026 to 1 Jun 2026",
    );
  });
});
