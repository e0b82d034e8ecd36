import { describe, expect, it } from "vitest";
import { createLocalClock } from "../../../src/analysis/local-time";
import { ratingsAt, ratingsPeriods } from "../../../src/analysis/ratings-in-force";
import { RATINGS } from "./samples";

const clock = createLocalClock("America/Denver");
const MIDNIGHT_MS = Date.UTC(2026, 4, 15, 6);

const early = { ...RATINGS, from: "2026-05-01" };
const later = { ...RATINGS, from: "2026-05-15", legLimitW: 5000 };

describe("ratings in force (D3)", () => {
  it("count from the local midnight of their date on, in whatever order they are listed", () => {
    for (const list of [
      [early, later],
      [later, early],
    ]) {
      const periods = ratingsPeriods(list, clock);
      expect(ratingsAt(periods, MIDNIGHT_MS - 1)).toBe(early);
      expect(ratingsAt(periods, MIDNIGHT_MS)).toBe(later);
      expect(periods.map(({ fromMs, untilMs }) => [fromMs, untilMs])).toEqual([
        [Number.NEGATIVE_INFINITY, MIDNIGHT_MS],
        [MIDNIGHT_MS, Number.POSITIVE_INFINITY],
      ]);
    }
  });

  it("are the first ones before their date too, and must be at least one", () => {
    expect(ratingsAt(ratingsPeriods([early, later], clock), Date.UTC(2020, 0, 1))).toBe(early);
    expect(() => ratingsPeriods([], clock)).toThrow(RangeError);
  });
});
