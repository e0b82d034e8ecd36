import { describe, expect, it } from "vitest";
import type { DerivedColumn } from "../../../src/analysis/frame";
import type { Ratings } from "../../../src/analysis/ratings";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, steady } from "./samples";

/** A derived column's value where all samples are alike. */
function derivedOf(column: DerivedColumn, values: Omit<Sample, "s">, ratings: Ratings = RATINGS): number {
  return frameOf(steady(4, 60, values), ratings).derived[column][2];
}

const LOADS = { loadL1W: 2400, loadL2W: 1200 };

describe("service amperes (D11)", () => {
  it("are the grid's legs as measured, whatever carries the loads", () => {
    for (const source of ["inverter", "utility", "none", "unknown"] as const) {
      const values = { ...LOADS, gridL1A: 12.5, gridL2A: -3, source };
      expect(derivedOf("serviceL1A", values)).toBe(12.5);
      expect(derivedOf("serviceL2A", values)).toBe(-3);
    }
  });

  it("are else the legs' watts over their volts, measured or nominal", () => {
    expect(derivedOf("serviceL1A", { ...LOADS, gridL1W: 2400, gridL2W: 0, source: "inverter" })).toBe(20);
    const measured = { ...LOADS, gridL1W: 2400, gridL2W: 0, loadL1V: 100, source: "inverter" as const };
    expect(derivedOf("serviceL1A", measured)).toBe(24);
    expect(derivedOf("serviceL1A", { ...measured, loadL1V: 0 })).toBeNaN();
  });

  it("are else, on utility, load, charging and what is fed outside of the inverter", () => {
    const values = { ...LOADS, batteryA: -50, batteryV: 48, gridW: 6000, source: "utility" as const };
    // 6000 W of grid less 3600 W of load charge the battery: 1200 W, 10 A, a leg.
    expect(derivedOf("serviceL1A", values)).toBe(30);
    expect(derivedOf("serviceL2A", values)).toBe(20);
    expect(derivedOf("serviceL1A", values, { ...RATINGS, loadOutsideA: 7 })).toBe(37);
    expect(derivedOf("passThroughL1A", values, { ...RATINGS, loadOutsideA: 7 })).toBe(30);
  });

  it("are unknown on inverter without a meter for the legs, and on generator", () => {
    expect(derivedOf("serviceL1A", { ...LOADS, source: "inverter" })).toBeNaN();
    expect(derivedOf("serviceL1A", { ...LOADS, gridW: 0, source: "inverter" })).toBeNaN();
    expect(derivedOf("serviceL1A", { ...LOADS, source: "generator" })).toBeNaN();
    expect(derivedOf("serviceL1A", { ...LOADS, gridL1A: 20, gridL2A: 20, source: "generator" })).toBeNaN();
  });

  it("fall back sample by sample where the meter has a hole", () => {
    const samples: Sample[] = [
      ...steady(2, 60, { ...LOADS, gridL1A: 25, gridL2A: 11, source: "utility" }),
      ...steady(2, 60, { ...LOADS, gridL1A: Number.NaN, gridL2A: Number.NaN, source: "utility" }, 120),
      ...steady(2, 60, { ...LOADS, gridL1A: Number.NaN, gridL2A: Number.NaN, source: "inverter" }, 240),
    ];
    expect([...frameOf(samples).derived.serviceL1A]).toEqual([25, 25, 20, 20, Number.NaN, Number.NaN]);
  });
});

describe("pass-through amperes (D3, D11)", () => {
  it("are each leg's on utility only, with or without a rating", () => {
    expect(derivedOf("passThroughL1A", { ...LOADS, source: "utility" })).toBe(20);
    expect(derivedOf("passThroughL2A", { ...LOADS, source: "utility" })).toBe(10);
    for (const source of ["inverter", "generator", "none", "unknown"] as const)
      expect(derivedOf("passThroughL1A", { ...LOADS, source })).toBeNaN();
  });

  it("take charging that is unknown as none", () => {
    const values = { ...LOADS, batteryA: Number.NaN, batteryV: 48, source: "utility" as const };
    expect(derivedOf("passThroughL1A", values)).toBe(20);
  });

  it("are held against the rating by the greater leg, on generator too, unknown if either is", () => {
    const ratings = { ...RATINGS, passThroughA: 50 };
    expect(derivedOf("passThroughA", { ...LOADS, source: "generator" }, ratings)).toBe(20);
    expect(derivedOf("passThroughLoading", { ...LOADS, source: "utility" }, ratings)).toBe(0.4);
    expect(
      derivedOf("passThroughA", { loadL1W: 2400, loadL2W: Number.NaN, source: "utility" }, ratings),
    ).toBeNaN();
    expect(derivedOf("passThroughL1A", { loadL1W: 2400, loadL2W: Number.NaN, source: "utility" })).toBe(20);
    expect(derivedOf("passThroughA", { ...LOADS, source: "utility" })).toBeNaN();
  });
});
