import { describe, expect, it } from "vitest";
import { existingLoad } from "../../src/analysis/existing-load";
import { review, seriesOf, steady } from "../unit/analysis/samples";

/**
 * NEC 220.87 (Article 120 in the 2026 edition): 1.25 · maximum 15-minute demand of the highest loaded phase + new
 * load against the rating, 30 days at least; not where there is solar or peak shaving. After
 * https://symmetryace.com/electrical/nec-code-requirement and
 * https://processmeasurementco.com/news/nec-220-87-code-compliance-30-day-load-studies/; the sums are arithmetic.
 */
describe("existing load in the form of NEC 220.87", () => {
  const of = (demandA: number, newLoadA: number, ratingA = 100) =>
    existingLoad({ demandA, newLoadA, ratingA, recordDays: 31, solarOrShaving: false });

  it("makes of 11.4 kW at 240 V 47.5 A, of which 1.25 times is 59.375 A", () => {
    expect(of(11_400 / 240, 40).demand125A).toBeCloseTo(59.375, 9);
  });

  it("leaves with 40 A more 0.625 A of 100 A, and with 41 A is 0.375 A over", () => {
    expect(of(47.5, 40).sumA).toBeCloseTo(99.375, 9);
    expect(of(47.5, 40).leftA).toBeCloseTo(0.625, 9);
    expect(of(47.5, 41).sumA).toBeCloseTo(100.375, 9);
    expect(of(47.5, 41).leftA).toBeCloseTo(-0.375, 9);
  });

  it("takes the highest loaded leg: of 60 A and 42 A it is 75 A", () => {
    const { demand } = review(seriesOf(steady(30, 60, { loadL1W: 7200, loadL2W: 5040 }))).figures;
    expect(demand?.heavierLegPeakA).toBe(60);
    expect(of(demand?.heavierLegPeakA ?? Number.NaN, 0).demand125A).toBe(75);
  });

  it("says that the exception is not for a site with solar or peak shaving", () => {
    const given = { demandA: 60, newLoadA: 0, ratingA: 100, recordDays: 31 };
    expect(existingLoad({ ...given, solarOrShaving: true }).cautions).toContain("solar-or-shaving");
  });
});
