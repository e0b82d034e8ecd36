import { describe, expect, it } from "vitest";
import { review, type Sample, seriesOf } from "../unit/analysis/samples";

/**
 * Self-consumption and self-sufficiency, M = min(L, P + S); Luthander, Widén, Nilsson, Palm, Applied Energy 142
 * (2015) 80–94, DOI 10.1016/j.apenergy.2014.12.028 (formula from memory, the paper's text was not opened). The
 * values are exact arithmetic from the stated hourly kWh.
 */
function hourly(
  solarKwh: readonly number[],
  loadKwh: readonly number[],
  batteryKwh: readonly number[],
): Sample[] {
  return solarKwh.map((solar, i) => {
    const balance = loadKwh[i] - solar - batteryKwh[i];
    return {
      s: i * 3600,
      loadW: loadKwh[i] * 1000,
      solarW: solar * 1000,
      batteryW: batteryKwh[i] * 1000,
      gridW: balance * 1000,
      source: "inverter",
    };
  });
}

describe("energy shares against the literature's definition", () => {
  it("gives SC 0.80 and SS 0.80 without a store", () => {
    const { total } = review(seriesOf(hourly([0, 2, 5, 3], [1, 1, 4, 4], [0, 0, 0, 0])));
    expect(total.solarToLoadWh / total.solarWh).toBeCloseTo(0.8, 12);
    expect(total.solarToLoadWh / total.loadWh).toBeCloseTo(0.8, 12);
    expect(total.gridToLoadWh).toBeCloseTo(2000, 9);
    expect(total.solarToGridWh).toBeCloseTo(2000, 9);
  });

  it("gives SC 0.75 and SS 0.75 with a lossless 2 kWh store", () => {
    const { total } = review(seriesOf(hourly([0, 4, 0, 0], [1, 1, 1, 1], [0, -2, 1, 1])));
    expect((total.solarToLoadWh + total.solarToBatteryWh) / total.solarWh).toBeCloseTo(0.75, 12);
    expect((total.solarToLoadWh + total.batteryToLoadWh) / total.loadWh).toBeCloseTo(0.75, 12);
    expect(total.gridToLoadWh).toBeCloseTo(1000, 9);
    expect(total.solarToGridWh).toBeCloseTo(1000, 9);
    expect(total.lossesWh).toBeCloseTo(0, 9);
  });
});
