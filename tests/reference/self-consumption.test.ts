import { describe, expect, it } from "vitest";
import { RATINGS, review, type Sample, seriesOf } from "../unit/analysis/samples";

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

  it.each([
    ["without a store", [0, 2, 5, 3], [1, 1, 4, 4], [0, 0, 0, 0]],
    ["with a lossless 2 kWh store", [0, 4, 0, 0], [1, 1, 1, 1], [0, -2, 1, 1]],
  ])(
    "keeps the definition's invariants %s: ΣL = ΣM + import, ΣP = ΣM + export, SC / SS = ΣL / ΣP",
    (_, solar, load, battery) => {
      const { total, days } = review(seriesOf(hourly(solar, load, battery)));
      // Written down from the inputs: M = min(L, P + S), hour by hour.
      const usedWh = 1000 * load.reduce((sum, kwh, i) => sum + Math.min(kwh, solar[i] + battery[i]), 0);
      expect(total.solarToLoadWh + total.batteryToLoadWh).toBeCloseTo(usedWh, 9);
      expect(total.loadWh).toBeCloseTo(usedWh + total.gridToLoadWh, 9);
      // What the store takes in comes back whole, so that it is in the sum of M.
      expect(total.solarWh).toBeCloseTo(usedWh + total.solarToGridWh, 9);
      const selfConsumption = usedWh / total.solarWh;
      const selfSufficiency = usedWh / total.loadWh;
      expect(selfConsumption / selfSufficiency).toBeCloseTo(total.loadWh / total.solarWh, 12);
      expect(days.reduce((sum, day) => sum + day.shares.unattributedWh, 0)).toBeCloseTo(0, 9);
    },
  );

  it("tells that all of the lossless store's energy is of solar origin, if it was empty at the beginning", () => {
    const bank = { ratings: [{ ...RATINGS, battery: { nominalV: 50, capacityAh: 400 } }] };
    const samples = hourly([0, 4, 0, 0], [1, 1, 1, 1], [0, -2, 1, 1]);
    const { total } = review(seriesOf(samples), { ...bank, firstSocPct: 0 });
    expect(total.batteryToLoadWh).toBeCloseTo(2000, 9);
    expect(total.batteryToLoadOfSolarWh).toBeCloseTo(2000, 9);
    // By minutes and with the SOC logged: 2 kWh are 10 % of 20 kWh. A hold's SOC is the one at its beginning, to which
    // definitions D10 scale the stock down, so that it lags by one hold's charge: a sixtieth of it here.
    const minutes: Sample[] = samples.flatMap((one, hour) =>
      Array.from({ length: 60 }, (_, minute) => ({
        ...one,
        s: one.s + minute * 60,
        batterySocPct: [0, minute / 6, 10 - minute / 12, 5 - minute / 12][hour],
      })),
    );
    const byMinute = review(seriesOf(minutes), bank).total;
    expect(byMinute.batteryToLoadWh).toBeCloseTo(2000, 9);
    expect(byMinute.batteryToLoadOfSolarWh / 2000).toBeCloseTo(59 / 60, 6);
  });

  it("can only find more self-consumption in coarser means: one interval of four hours makes SC 1", () => {
    const mean: Sample[] = [
      { s: 0, loadW: 1000, solarW: 1000, gridW: 0, batteryW: 0, source: "inverter" },
      { s: 4 * 3600, loadW: 0, solarW: 0, gridW: 0, batteryW: 0, source: "inverter" },
    ];
    const { total } = review(seriesOf(mean));
    expect(total.solarToLoadWh / total.solarWh).toBeCloseTo(1, 12);
    const hours = review(seriesOf(hourly([0, 4, 0, 0], [1, 1, 1, 1], [0, 0, 0, 0]))).total;
    expect(hours.solarToLoadWh / hours.solarWh).toBeCloseTo(0.25, 12);
  });
});
