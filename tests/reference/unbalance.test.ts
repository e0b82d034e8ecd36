import { describe, expect, it } from "vitest";
import { unbalance } from "../../src/analysis/unbalance";
import { review, seriesOf, steady } from "../unit/analysis/samples";

/**
 * Examples of the form of NEMA MG 1 as others print them. Printed figures are rounded on the way, so that they
 * hold to 0.2 points; the exact ones are recomputed from the same readings.
 */
describe("unbalance by printed examples", () => {
  it.each([
    // https://www.eng-tips.com/threads/sequence-angles-imbalance.481112/post-8667161
    [[462, 463, 455], 1.1, 1.087],
    // https://industrialmonitordirect.com/blogs/knowledgebase/industrial-voltage-unbalance-nema-mg1-limits-causes-and-motor-derating
    [[480, 476, 472], 0.84, 0.8403],
    // https://tools.gera.services/ac-voltage-imbalance-calculator
    [[460, 467, 450], 1.96, 1.9608],
    // Two that are rounded on the way: 5.3 / 208.3 and 4 / 216.
    [[203, 210, 212], 2.5, 2.56],
    [[220, 216, 213], 1.8, 1.6949],
  ])("gives for %j about %d %%, exactly %d %%", (readings, printedPct, exactPct) => {
    const pct = unbalance(readings) * 100;
    expect(Math.abs(pct - printedPct)).toBeLessThan(0.2);
    expect(Math.abs(pct - exactPct)).toBeLessThan(1e-4);
  });

  it("is for 60 A and 40 A on two legs 20 %, as the imbalance of the legs is reckoned", () => {
    expect(unbalance([60, 40])).toBeCloseTo(0.2, 12);
    const { imbalance } = review(seriesOf(steady(20, 60, { loadL1A: 60, loadL2A: 40 }))).figures;
    expect(imbalance?.meanShare).toBeCloseTo(unbalance([60, 40]), 12);
  });
});
