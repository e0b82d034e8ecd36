import { describe, expect, it } from "vitest";
import {
  datesOfPeriod,
  parsePeriod,
  periodSearch,
  periodWhen,
  periodWords,
} from "../../../../app/_data/period-query";

const MONTHS = ["2026-04", "2026-05"];
const LATEST = { kind: "month", month: "2026-05" };

describe("the period of a sheet", () => {
  it("is the latest month with samples, and all of a site without any", () => {
    expect(parsePeriod({}, MONTHS)).toEqual({ period: LATEST, problem: null });
    expect(parsePeriod({}, [])).toEqual({ period: { kind: "all" }, problem: null });
  });

  it("is what the address says, and is written the same way", () => {
    for (const [query, words] of [
      [{ month: "2026-04" }, "April 2026"],
      [{ from: "2026-05-04", to: "2026-05-11" }, "4 May to 11 May 2026"],
      [{ from: "2025-12-30", to: "2026-01-02" }, "30 Dec 2025 to 2 Jan 2026"],
      [{ from: "2026-05-04", to: "2026-05-04" }, "4 May 2026"],
      [{ period: "all" }, "the whole log"],
    ] as const) {
      const { period, problem } = parsePeriod(query, MONTHS);
      expect(problem).toBeNull();
      expect(periodWords(period)).toBe(words);
      expect(periodSearch(period)).toBe(`?${new URLSearchParams(query)}`);
    }
  });

  it("begins a sentence with its preposition", () => {
    const when = (query: Parameters<typeof parsePeriod>[0]) => periodWhen(parsePeriod(query, MONTHS).period);
    expect(when({})).toBe("In May 2026");
    expect(when({ period: "all" })).toBe("In the whole log");
    expect(when({ from: "2026-05-04", to: "2026-05-11" })).toBe("From 4 May to 11 May 2026");
    expect(when({ from: "2026-05-04", to: "2026-05-04" })).toBe("On 4 May 2026");
  });

  it("has both its days, and the last of a month whatever its length", () => {
    expect(datesOfPeriod({ kind: "month", month: "2028-02" })).toEqual({
      firstDate: "2028-02-01",
      lastDate: "2028-02-29",
    });
    expect(datesOfPeriod({ kind: "days", from: "2026-05-04", to: "2026-05-11" })).toEqual({
      firstDate: "2026-05-04",
      lastDate: "2026-05-11",
    });
    expect(datesOfPeriod({ kind: "all" })).toBeNull();
  });

  it("says what is wrong with an address, and shows the latest month instead", () => {
    for (const [query, says] of [
      [{ month: "2026-13" }, /“2026-13”, is none/],
      [{ month: ["2026-04", "2026-05"] }, /is none/],
      [{ from: "2026-05-04" }, /no day for “to”/],
      [{ from: "2026-02-30", to: "2026-03-01" }, /no day for “from”/],
      [{ from: "2026-05-11", to: "2026-05-04" }, /ends \(2026-05-04\) before it begins \(2026-05-11\)/],
    ] as const) {
      const { period, problem } = parsePeriod(query as never, MONTHS);
      expect(period).toEqual(LATEST);
      expect(problem).toMatch(says);
    }
  });
});
