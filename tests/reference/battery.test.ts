import { describe, expect, it } from "vitest";
import {
  addBatteryCurrent,
  batteryCurrentOf,
  createBatteryCurrentSums,
} from "../../src/analysis/battery-current";
import { addBatteryPower, batteryPowerOf, createBatteryPowerSums } from "../../src/analysis/battery-power";
import {
  addBatteryResistance,
  batteryResistanceOf,
  createBatteryResistanceSums,
} from "../../src/analysis/battery-resistance";
import { cableDrop } from "../../src/analysis/cable-drop";
import { copperCable } from "../../src/analysis/copper-cable";
import { dcCurrentOfLoad } from "../../src/analysis/dc-current-of-load";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, type Sample, START_MS, steady } from "../unit/analysis/samples";

const DAY = { fromMs: START_MS, toMs: START_MS + 86_400_000 };

/** Common practice, no source: P / (η V), worked by hand. */
describe("DC current of an AC load", () => {
  it.each([
    [51.2, 127.378],
    [48, 135.87],
    [44, 148.221],
  ])("of 6,000 W at 92 % and %d V is %d A", (volts, amps) => {
    expect(dcCurrentOfLoad(6000, { idleW: 0, efficiency: 0.92 }, volts)).toBeCloseTo(amps, 3);
  });
});

/** Common practice, no source: C-rate = A / Ah, equivalent full cycles = discharged / rated. */
describe("C-rate and equivalent full cycles", () => {
  it("140 A of a 280 Ah battery are 0.5 C", () => {
    const ratings = { ...RATINGS, battery: { capacityAh: 280, nominalV: 51.2 } };
    const frame = frameOf(steady(10, 60, { batteryA: 140 }), ratings);
    const sums = createBatteryCurrentSums();
    addBatteryCurrent(frame, sums, ratings, 0, frame.sourced);
    expect(batteryCurrentOf(sums)).toMatchObject({ maxCRate: 0.5, p99CRate: 0.5 });
  });

  it("420 Ah out of 280 Ah, at the nominal voltage, are 1.5 cycles", () => {
    const ratings = { ...RATINGS, battery: { capacityAh: 280, nominalV: 51.2 } };
    // 42 A for ten hours.
    const frame = frameOf(steady(600, 60, { batteryA: 42, batteryV: 51.2, loadW: 0 }), ratings);
    const sums = createBatteryPowerSums();
    addBatteryPower(frame, sums, DAY, ratings, 0, frame.sourced);
    // Volts are float32 once read.
    expect(batteryPowerOf(sums)?.equivalentFullCycles).toBeCloseTo(1.5, 6);
  });
});

/**
 * Weighted least squares against NumPy 2.4.6 (Python 3.11.7): numpy.polyfit(x, y, 1, w=numpy.sqrt(hold), cov=True) over
 * x = round(6000 u₁), y = round(60 + x / 0.94 + 80 (u₂ − 0.5)), hold = 60 where u₃ < 0.3 else 10, with u from the
 * generator of statistics.test.ts, seeds 1, 2 and 3, 500 of each.
 */
describe("idle power and efficiency", () => {
  function minstd(seed: number, n: number): number[] {
    const out: number[] = [];
    let x = seed;
    for (let i = 0; i < n; i++) {
      x = (x * 48_271) % 2_147_483_647;
      out.push(x / 2_147_483_647);
    }
    return out;
  }

  it("are those that NumPy fits, with their standard errors", () => {
    const [u1, u2, u3] = [minstd(1, 500), minstd(2, 500), minstd(3, 500)];
    const samples = u1.map((u, i): Sample => {
      const loadW = Math.round(6000 * u);
      return {
        s: i,
        source: "inverter",
        loadW,
        batteryW: Math.round(60 + loadW / 0.94 + 80 * (u2[i] - 0.5)),
      };
    });
    const frame = frameOf(samples);
    u3.forEach((u, i) => {
      frame.holdS[i] = u < 0.3 ? 60 : 10;
    });
    const sums = createBatteryPowerSums();
    addBatteryPower(frame, sums, DAY, RATINGS, 0, frame.sourced);
    const model = batteryPowerOf(sums)?.model;
    const slope = 1.0705453388977586;
    expect(model?.efficiency).toBeCloseTo(1 / slope, 9);
    expect(model?.idleW).toBeCloseTo(39.577342554910125, 6);
    expect(model?.idleSeW).toBeCloseTo(1.5910839727085069, 6);
    // By the delta method from the slope's, 0.0005106075967277514.
    expect(model?.efficiencySe).toBeCloseTo(0.0005106075967277514 / slope ** 2, 9);
    expect(model?.r2).toBeCloseTo(0.9998867222646579, 9);
    expect(model?.residualW).toBeCloseTo(19.49038834843851, 6);
  });
});

/**
 * NEC Chapter 9 Table 8, uncoated stranded copper at 75 °C, as https://voltdropcalc.com/nec-chapter-9-table-8/ prints
 * it; drop and heat at 200 A over a loop of 20 ft worked by hand.
 */
describe("DC cable", () => {
  it.each([
    ["2", 0.776, 155.2],
    ["1/0", 0.488, 97.6],
    ["2/0", 0.3868, 77.36],
    ["3/0", 0.3064, 61.28],
    ["4/0", 0.2432, 48.64],
    ["250 kcmil", 0.206, 41.2],
  ])("%s drops %d V and heats %d W", (size, dropV, heatW) => {
    const drop = cableDrop(200, 10, copperCable(size)?.ohmPerKft ?? Number.NaN);
    expect(drop.dropV).toBeCloseTo(dropV, 6);
    expect(drop.heatW).toBeCloseTo(heatW, 6);
  });

  it("has the ampacities of the 75 °C column of NEC Table 310.16", () => {
    // https://www.intrysys.com/tools/electrical/wire-ampacity-chart
    const sizes = ["8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0", "250"];
    expect(sizes.map((size) => copperCable(size)?.ampacityA)).toEqual([
      50, 65, 85, 100, 115, 130, 150, 175, 200, 230, 255,
    ]);
  });
});

/** Common practice, no source: 52.8 V at 10 A, 51.6 V at 110 A, worked by hand. */
describe("internal resistance", () => {
  it("is 12 mΩ where 100 A more take 1.2 V", () => {
    const samples = Array.from(
      { length: 41 },
      (_, i): Sample =>
        i % 2 === 0
          ? { s: i * 60, batteryA: 10, batteryV: 52.8 }
          : { s: i * 60, batteryA: 110, batteryV: 51.6 },
    );
    const frame = frameOf(samples);
    const sums = createBatteryResistanceSums();
    addBatteryResistance(frame, sums, 0, frame.sourced);
    expect(batteryResistanceOf(sums)?.ohm).toBeCloseTo(0.012, 6);
  });
});
