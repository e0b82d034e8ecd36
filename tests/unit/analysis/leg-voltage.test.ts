import { describe, expect, it } from "vitest";
import {
  addLegVoltage,
  createLegVoltageSums,
  legVoltageOf,
  mergeLegVoltage,
} from "../../../src/analysis/leg-voltage";
import type { Ratings } from "../../../src/analysis/ratings";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, START_MS, steady } from "./samples";

function sumsOf(samples: readonly Sample[], ratings: Ratings = RATINGS, carried = false) {
  const frame = frameOf(samples, ratings);
  const sums = createLegVoltageSums();
  addLegVoltage(frame, sums, ratings, 0, frame.sourced, carried);
  return sums;
}

const voltageOf = (samples: readonly Sample[], ratings?: Ratings) => legVoltageOf(sumsOf(samples, ratings));
const volts = (...l1V: number[]): Sample[] => l1V.map((loadL1V, i) => ({ s: i * 60, loadL1V, loadL1W: 100 }));

describe("leg voltage (D16)", () => {
  it("is null where the log has none", () => {
    expect(legVoltageOf(createLegVoltageSums())).toBeNull();
    expect(voltageOf(steady(3, 60, { loadL1W: 100 }))).toBeNull();
    expect(voltageOf(volts(Number.NaN, Number.NaN))).toBeNull();
    expect(voltageOf(volts(120))?.l2).toBeNull();
  });

  it("gives range and instants, of equal values the earliest", () => {
    expect(voltageOf(volts(120, 118, Number.NaN, 123, 118, 123))?.l1).toMatchObject({
      minV: 118,
      minAtMs: START_MS + 60_000,
      maxV: 123,
      maxAtMs: START_MS + 180_000,
      samples: 5,
      heldS: 300,
    });
  });

  it("counts time below 114 V and above 126 V, neither at them (COMAR 20.50.07.02)", () => {
    expect(voltageOf(volts(114, 126, 120))?.l1).toMatchObject({ belowS: 0, aboveS: 0 });
    expect(voltageOf(volts(113.9, 113.9, 126.1, 120))?.l1).toMatchObject({ belowS: 120, aboveS: 60 });
  });

  it("takes the range in proportion to another nominal voltage", () => {
    const found = voltageOf(volts(94.9, 95, 105, 105.1, 120), { ...RATINGS, legNominalV: 100 })?.l1;
    expect(found).toMatchObject({ belowS: 60, aboveS: 120 });
  });

  it("gives percentiles of the samples, exactly where there are few distinct voltages", () => {
    const ascending = Array.from({ length: 101 }, (_, i) => 110 + i / 4);
    expect(voltageOf(volts(...ascending))?.l1).toMatchObject({ p1V: 110.25, p99V: 134.75, resolutionV: 0 });
  });

  it("says to what voltages are rounded where there are too many distinct ones", () => {
    const many = Array.from({ length: 5000 }, (_, i) => 115 + i / 1024);
    expect(voltageOf(volts(...many))?.l1?.resolutionV).toBe(0.01);
  });

  it("fits sag against load, by source", () => {
    const loads = Array.from({ length: 40 }, (_, i) => i * 100);
    const samples: Sample[] = [
      ...loads.map((loadL1W, i) => ({
        s: i * 60,
        loadL1W,
        loadL1V: 122 - (loadL1W / 1000) * 0.5,
        source: "inverter" as const,
      })),
      ...loads.map((loadL1W, i) => ({
        s: 2400 + i * 60,
        loadL1W,
        loadL1V: 124 - (loadL1W / 1000) * 2,
        source: "utility" as const,
      })),
    ];
    const sag = voltageOf(samples)?.l1?.sag ?? [];
    expect(sag.map((one) => one.source)).toEqual(["inverter", "utility"]);
    expect(sag[0].voltsPerKw).toBeCloseTo(-0.5, 4);
    expect(sag[1].voltsPerKw).toBeCloseTo(-2, 4);
    for (const one of sag) {
      expect(one.n).toBe(40);
      expect(one.r2).toBeCloseTo(1, 6);
    }
  });

  it("fits no sag under 30 samples, without loads, or where the load never changes", () => {
    const rising = (count: number): Sample[] =>
      Array.from({ length: count }, (_, i) => ({ s: i * 60, loadL1W: i, loadL1V: 120 - i / 100 }));
    expect(voltageOf(rising(29))?.l1?.sag).toEqual([]);
    expect(voltageOf(rising(30))?.l1?.sag).toHaveLength(1);
    expect(voltageOf(steady(40, 60, { loadL1V: 120 }))?.l1?.sag).toEqual([]);
    // 33.3 W has no exact double in kW: equal loads are no spread all the same.
    const level = steady(1000, 60, { loadL1W: 33.3 }).map((one, i) => ({ ...one, loadL1V: 120 + (i % 3) }));
    expect(voltageOf(level)?.l1?.sag).toEqual([]);
    const within = (watts: number) =>
      steady(40, 60, {}).map((one, i) => ({ ...one, loadL1V: 120, loadL1W: 500 + (i % 2) * watts }));
    expect(voltageOf(within(1.9))?.l1?.sag).toEqual([]);
    expect(voltageOf(within(2.1))?.l1?.sag).toHaveLength(1);
  });

  it("explains nothing where the voltage never changes", () => {
    const samples = Array.from({ length: 40 }, (_, i) => ({ s: i * 60, loadL1W: i * 10, loadL1V: 120 }));
    expect(voltageOf(samples)?.l1?.sag).toEqual([{ source: "unknown", voltsPerKw: 0, r2: null, n: 40 }]);
  });

  it("counts a hold carried over midnight in time and range, but not as a sample", () => {
    const sums = sumsOf(volts(110, 120), RATINGS, true);
    expect(legVoltageOf(sums)?.l1).toMatchObject({ minV: 110, belowS: 60, heldS: 120, samples: 1, p1V: 120 });
    expect(legVoltageOf(sumsOf(volts(110), RATINGS, true))?.l1).toMatchObject({
      samples: 0,
      p1V: null,
      p99V: null,
    });
  });

  it("adds days up to the figures of all of them", () => {
    const noisy = (count: number, fromS: number): Sample[] =>
      Array.from({ length: count }, (_, i) => ({
        s: fromS + i * 60,
        loadL1W: (fromS + 100 + i * 613) % 4000,
        loadL2W: 500,
        loadL1V: Math.round((123 - ((fromS + 100 + i * 613) % 4000) / 1000 + ((i * 31) % 10) / 10) * 10) / 10,
        loadL2V: 121,
        source: i % 5 === 0 ? ("utility" as const) : ("inverter" as const),
      }));
    const sums = createLegVoltageSums();
    mergeLegVoltage(sums, sumsOf(noisy(200, 0)));
    // The second day begins with another load and another voltage than the first.
    const second = noisy(300, 13_500).map((one) => ({ ...one, s: one.s - 1500 }));
    mergeLegVoltage(sums, sumsOf(second));
    const merged = legVoltageOf(sums);
    const whole = voltageOf([...noisy(200, 0), ...second]);
    const { sag: mergedSag, ...figures } = merged?.l1 ?? { sag: [] };
    const { sag: wholeSag, ...expected } = whole?.l1 ?? { sag: [] };
    expect(figures).toEqual(expected);
    expect(mergedSag).toHaveLength(2);
    mergedSag.forEach((one, i) => {
      expect(one.voltsPerKw).toBeCloseTo(wholeSag[i].voltsPerKw, 10);
      expect(one.r2 ?? 0).toBeCloseTo(wholeSag[i].r2 ?? 1, 10);
      expect(one.n).toBe(wholeSag[i].n);
    });
  });
});
