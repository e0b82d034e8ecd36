import { describe, expect, it } from "vitest";
import { existingLoad } from "../../../src/analysis/existing-load";

const GIVEN = { demandA: 47.5, newLoadA: 40, ratingA: 100, recordDays: 400, solarOrShaving: false };

describe("existing-load arithmetic (D11)", () => {
  it("gives figures to compare with, and no verdict", () => {
    expect(existingLoad(GIVEN)).toEqual({
      article: "NEC 220.87",
      article2026: "NEC Article 120",
      demandA: 47.5,
      demand125A: 59.375,
      newLoadA: 40,
      sumA: 99.375,
      ratingA: 100,
      leftA: 0.625,
      recordDays: 400,
      cautions: [],
    });
  });

  it("cautions by what the record is and what the site has", () => {
    const cautions = (more: Partial<typeof GIVEN>) => existingLoad({ ...GIVEN, ...more }).cautions;
    expect(cautions({ solarOrShaving: true })).toEqual(["solar-or-shaving"]);
    expect(cautions({ recordDays: 30 })).toEqual(["season-unknown"]);
    expect(cautions({ recordDays: 29 })).toEqual(["under-30-days", "season-unknown"]);
    expect(cautions({ recordDays: 364 })).toEqual(["season-unknown"]);
    expect(cautions({ recordDays: 365 })).toEqual([]);
    expect(cautions({ recordDays: 0, solarOrShaving: true })).toHaveLength(3);
  });

  it("takes no new load, and a demand that the sun on a leg makes negative", () => {
    expect(existingLoad({ ...GIVEN, newLoadA: 0 }).sumA).toBe(59.375);
    expect(existingLoad({ ...GIVEN, demandA: -4 }).sumA).toBe(35);
  });

  it.each([
    { demandA: Number.NaN },
    { newLoadA: -1 },
    { newLoadA: Number.NaN },
    { ratingA: 0 },
    { ratingA: Number.NaN },
  ])("refuses %j", (bad) => {
    expect(() => existingLoad({ ...GIVEN, ...bad })).toThrow(RangeError);
  });
});
