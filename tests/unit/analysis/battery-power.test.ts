import { describe, expect, it } from "vitest";
import {
  addBatteryPower,
  batteryPowerOf,
  createBatteryPowerSums,
  mergeBatteryPower,
} from "../../../src/analysis/battery-power";
import type { Ratings } from "../../../src/analysis/ratings";
import { frameOf } from "./frame-of";
import { RATINGS, review, type Sample, START_MS, seriesOf, steady } from "./samples";

const DAY_MS = 86_400_000;
const DAY = { fromMs: START_MS, toMs: START_MS + DAY_MS };

function sumsOf(samples: readonly Sample[], day = DAY, ratings: Ratings = RATINGS) {
  const frame = frameOf(samples, ratings);
  const sums = createBatteryPowerSums();
  addBatteryPower(frame, sums, day, ratings, 0, frame.sourced);
  return sums;
}

/** Loads of 0 to 5 kW with 60 W idle and 94 %. */
function lossy(count: number, more: Omit<Sample, "s"> = {}, fromS = 0): Sample[] {
  return Array.from({ length: count }, (_, i) => {
    const loadW = (i * 997) % 5000;
    return { s: fromS + i * 60, source: "inverter", loadW, solarW: 0, batteryW: 60 + loadW / 0.94, ...more };
  });
}

describe("battery power (D13)", () => {
  it("is null without samples", () => {
    expect(batteryPowerOf(createBatteryPowerSums())).toBeNull();
    expect(batteryPowerOf(sumsOf(steady(5, 60, { loadW: 1, batteryW: Number.NaN })))).toBeNull();
  });

  it("adds up energies each way and counts cycles by the capacity in force", () => {
    const power = batteryPowerOf(
      sumsOf([
        ...steady(60, 60, { loadW: 0, batteryW: 2048 }),
        ...steady(60, 60, { loadW: 0, batteryW: -4096 }, 3600),
      ]),
    );
    expect(power?.heldS).toBe(7200);
    expect(power?.dischargedWh).toBeCloseTo(2048, 9);
    expect(power?.chargedWh).toBeCloseTo(4096, 9);
    // 400 Ah · 51.2 V = 20,480 Wh.
    expect(power?.equivalentFullCycles).toBeCloseTo(0.1, 12);
    expect(power?.cyclesPerMonth).toBeNull();
    const unrated = sumsOf(steady(5, 60, { loadW: 0, batteryW: 1 }), DAY, { ...RATINGS, battery: {} });
    expect(batteryPowerOf(unrated)).toMatchObject({ equivalentFullCycles: null, cyclesPerMonth: null });
  });

  it("finds idle power and efficiency again", () => {
    const model = batteryPowerOf(sumsOf(lossy(300)))?.model;
    expect(model?.idleW).toBeCloseTo(60, 3);
    expect(model?.efficiency).toBeCloseTo(0.94, 6);
    expect(model?.r2).toBeCloseTo(1, 9);
    expect(model?.n).toBe(300);
    expect(model?.days).toBeNull();
  });

  it.each([
    ["fewer than 100 samples", lossy(99)],
    ["a load that doesn't change", steady(500, 60, { source: "inverter", loadW: 1000, batteryW: 1100 })],
    ["sun", lossy(300, { solarW: 6 })],
    ["an unknown sun", lossy(300, { solarW: Number.NaN })],
    ["the utility", lossy(300, { source: "utility" })],
    ["an unknown load", lossy(300, { loadW: Number.NaN })],
    ["a battery that charges", lossy(300, { batteryW: -500 })],
    [
      "battery power that falls with the load",
      Array.from(
        { length: 300 },
        (_, i): Sample => ({ s: i * 60, source: "inverter", loadW: i * 10, batteryW: 4000 - i * 10 }),
      ),
    ],
  ])("says nothing of idle power and efficiency with %s", (_, samples) => {
    expect(batteryPowerOf(sumsOf(samples))?.model ?? null).toBeNull();
  });

  it("takes from the load what the grid brings, and adds what it takes", () => {
    const samples = lossy(300).map((one, i) => {
      const gridW = i % 2 === 0 ? 200 : -200;
      return { ...one, gridW, batteryW: 60 + ((one.loadW ?? 0) - gridW) / 0.94 };
    });
    const model = batteryPowerOf(sumsOf(samples.filter((one) => one.batteryW > 0)))?.model;
    expect(model?.idleW).toBeCloseTo(60, 3);
    expect(model?.efficiency).toBeCloseTo(0.94, 6);
  });

  it("gives the mean of each hundred watts", () => {
    const power = batteryPowerOf(
      sumsOf([
        { s: 0, source: "inverter", loadW: 110, batteryW: 200 },
        { s: 60, source: "inverter", loadW: 190, batteryW: 300 },
        { s: 120, source: "inverter", loadW: 5_000_000, batteryW: 900 },
      ]),
    );
    expect(power?.points).toEqual([
      { acW: 150, dcW: 250, dcSdW: 50, heldS: 120 },
      { acW: 5_000_000, dcW: 900, dcSdW: 0, heldS: 60 },
    ]);
  });

  it("tells how the days differ from three on", () => {
    const sums = createBatteryPowerSums();
    [0.9, 0.92, 0.96].forEach((efficiency, i) => {
      const samples = lossy(200, {}, i * 86_400).map((one) => ({
        ...one,
        batteryW: 50 + 10 * i + (one.loadW ?? 0) / efficiency,
      }));
      const day = { fromMs: START_MS + i * DAY_MS, toMs: START_MS + (i + 1) * DAY_MS };
      mergeBatteryPower(sums, sumsOf(samples, day));
    });
    const days = batteryPowerOf(sums)?.model?.days;
    expect(days?.n).toBe(3);
    expect(days?.idleW.median).toBeCloseTo(60, 2);
    expect(days?.idleW.q1).toBeCloseTo(55, 2);
    expect(days?.efficiency.median).toBeCloseTo(0.92, 5);
    expect(days?.efficiency.q3).toBeCloseTo(0.94, 5);
  });
});

describe("round trip (D13)", () => {
  /** Days that each give `outW` for 12 h and take `inW` for 12 h, beginning at these states of charge. */
  function days(socs: readonly number[], outW: number, inW: number): Sample[] {
    return socs.flatMap((soc, day) => [
      ...steady(72, 600, { loadW: 1, batteryW: outW, batterySocPct: soc }, day * 86_400),
      ...steady(72, 600, { loadW: 1, batteryW: -inW, batterySocPct: 50 }, day * 86_400 + 43_200),
    ]);
  }
  const of = (samples: readonly Sample[]) =>
    review(seriesOf(samples)).figures.battery?.power?.roundTrip ?? null;

  it("is out over in between two midnights of equal SOC", () => {
    // 900 W · 12 h = 10.8 kWh a day, a cycle after two days.
    const trip = of(days([60, 70, 61, 40, 80], 900, 1000));
    expect(trip?.efficiency).toBeCloseTo(0.9, 9);
    expect([trip?.fromMs, trip?.toMs]).toEqual([START_MS, START_MS + 2 * DAY_MS]);
    expect([trip?.fromSocPct, trip?.toSocPct]).toEqual([60, 61]);
    expect(trip?.cycles).toBeCloseTo(21.6 / 20.48, 9);
  });

  it("is nothing with SOCs apart, less than a cycle between, a hole, or no charge", () => {
    expect(of(days([60, 70, 62, 40], 900, 1000))).toBeNull();
    expect(of(days([60, 60], 900, 1000))).toBeNull();
    expect(of(days([60, 60, 60], 900, 0))).toBeNull();
    const whole = days([60, 70, 61, 40], 1200, 1300);
    expect(of(whole)).not.toBeNull();
    expect(of(whole.filter(({ s }) => s < 100_000 || s > 105_000))).toBeNull();
    const late = days([60, 70, 61, 40], 900, 1000).map((one) =>
      one.s < 3600 ? { ...one, batterySocPct: Number.NaN } : one,
    );
    expect(of(late)).toBeNull();
  });
});
