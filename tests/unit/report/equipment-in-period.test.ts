import { describe, expect, it } from "vitest";
import { equipmentInPeriod } from "../../../src/report/equipment-in-period";
import { RATINGS, review, seriesOf, steady } from "../analysis/samples";

describe("the equipment of a period", () => {
  const samples = seriesOf(steady(10, 10, { source: "inverter", loadL1W: 500, loadL2W: 400 }));
  const result = review(samples, { ratings: [RATINGS] });
  const [{ date }] = result.days;
  const year = Number(date.slice(0, 4));

  it("is none without samples", () => {
    expect(equipmentInPeriod({ days: [] }, [RATINGS])).toEqual([]);
  });

  it("is the first ratings before any counts, and not those of later or of before", () => {
    const older = { ...RATINGS, from: `${year - 2}-01-01`, legLimitW: 3000 };
    const old = { ...RATINGS, from: `${year - 1}-01-01`, legLimitW: 3500 };
    const later = { ...RATINGS, from: `${year + 1}-01-01`, legLimitW: 6000 };
    const said = equipmentInPeriod(result, [older, old, later]);
    expect(said.map(({ from }) => from)).toEqual([old.from]);
    expect(said[0].lines[0]).toMatch(/^3\.50 kW a leg/);
    expect(equipmentInPeriod(result, [later]).map(({ from }) => from)).toEqual([later.from]);
  });
});
