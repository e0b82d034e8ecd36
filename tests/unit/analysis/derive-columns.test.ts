import { describe, expect, it } from "vitest";
import type { DerivedColumn } from "../../../src/analysis/frame";
import type { Ratings } from "../../../src/analysis/ratings";
import { frameOf } from "./frame-of";
import { RATINGS, review, type Sample, seriesOf, steady } from "./samples";

/** A derived column's value where all samples are alike. */
function derivedOf(column: DerivedColumn, values: Omit<Sample, "s">, ratings: Ratings = RATINGS): number {
  return frameOf(steady(4, 60, values), ratings).derived[column][2];
}

const LOADS = { loadL1W: 2400, loadL2W: 1200 };

describe("loads (D2)", () => {
  it("are the legs' watts, else amperes times the voltage measured, else the nominal one", () => {
    const values = { loadL1A: 10, loadL2W: 300, loadL1V: 118 };
    expect(derivedOf("l1W", values)).toBe(1180);
    expect(derivedOf("l1W", { ...values, loadL1V: Number.NaN })).toBe(1200);
    expect(derivedOf("l1W", { ...values, loadL1W: 1000 })).toBe(1000);
    expect(derivedOf("totalW", values)).toBe(1480);
  });

  it("are the total as measured where there is one, and of a leg alone what it leaves for the other", () => {
    expect(derivedOf("totalW", { loadW: 1600, loadL1W: 1000, loadL2W: 500 })).toBe(1600);
    expect(derivedOf("l2W", { loadW: 1600, loadL1W: 1000 })).toBe(600);
    expect(derivedOf("l1W", { loadW: 1600, loadL2W: 500 })).toBe(1100);
    expect(derivedOf("l1W", { loadW: 1600 })).toBeNaN();
  });

  it("are noted to disagree by more than 5 % of the larger for more than a day", () => {
    const codes = (loadW: number, hours: number) =>
      review(seriesOf(steady(hours, 3600, { loadW, loadL1W: 600, loadL2W: 400 }))).notes.map(
        ({ code }) => code,
      );
    expect(codes(1053, 25)).toContain("total-disagrees");
    expect(codes(1052, 25)).not.toContain("total-disagrees");
    expect(codes(1053, 24)).not.toContain("total-disagrees");
  });
});

describe("loading (D3)", () => {
  const VA = { loadL1W: 3000, loadL2W: 1000, loadL1Va: 3700, loadL2Va: 1500 };

  it("is each leg's own", () => {
    expect(derivedOf("l1Loading", LOADS)).toBe(0.6);
    expect(derivedOf("l2Loading", LOADS)).toBe(0.3);
    expect(derivedOf("totalLoading", LOADS)).toBe(0.45);
  });

  it("is the tighter of W and VA, each against its own limit", () => {
    expect(derivedOf("l1Loading", VA)).toBe(0.925);
    expect(derivedOf("l1Loading", VA, { ...RATINGS, legLimitVa: 5000 })).toBe(0.75);
    expect(derivedOf("l1Loading", VA, { ...RATINGS, legLimitVa: 4625 })).toBe(0.8);
    expect(derivedOf("totalLoading", VA)).toBe(0.65);
    expect(derivedOf("totalLoading", VA, { ...RATINGS, totalLimitVa: 10_000 })).toBe(0.52);
  });

  it("takes VA from amperes only with a voltage that was measured", () => {
    const values = { loadL1W: 1000, loadL2W: 100, loadL1A: 20, loadL1V: 120 };
    expect(derivedOf("l1Loading", values)).toBe(0.6);
    expect(derivedOf("l1Loading", { ...values, loadL1V: Number.NaN })).toBe(0.25);
  });

  it("is against limits lowered by the highest step of temperature exceeded", () => {
    const derate = [
      { aboveC: 60, ratio: 0.5 },
      { aboveC: 45, ratio: 0.75 },
    ];
    for (const ratings of [
      { ...RATINGS, derate },
      { ...RATINGS, derate: derate.toReversed() },
    ]) {
      const at = (column: DerivedColumn, inverterTempC: number) =>
        derivedOf(column, { ...LOADS, inverterTempC }, ratings);
      expect(at("l1Loading", 45)).toBe(0.6);
      expect(at("l1Loading", 45.1)).toBe(0.8);
      expect(at("l1Loading", 60.1)).toBe(1.2);
      expect(at("totalLoading", 45.1)).toBe(0.6);
      expect(at("totalLoading", Number.NaN)).toBe(0.45);
      expect(derivedOf("l1Loading", { ...VA, inverterTempC: 60.1 }, ratings)).toBe(1.85);
      expect(derivedOf("totalLoading", { ...VA, inverterTempC: 60.1 }, ratings)).toBe(1.3);
    }
  });

  it("is the inverter's part where the grid brings more than 5 % of the load beside it", () => {
    const values = { loadL1W: 2000, loadL2W: 2000, source: "inverter" as const };
    expect(derivedOf("totalLoading", { ...values, gridW: 200 })).toBe(0.5);
    expect(derivedOf("totalLoading", { ...values, gridW: 400 })).toBe(0.45);
    expect(derivedOf("l1Loading", { ...values, gridW: 200 })).toBe(0.5);
    expect(derivedOf("l1Loading", { ...values, gridW: 400 })).toBeNaN();
    expect(derivedOf("totalLoading", { ...values, gridW: 400, source: "utility" })).toBe(0.5);
  });

  it("is each leg's part with blending where the grid's legs are measured", () => {
    const values = {
      loadL1W: 2000,
      loadL2W: 2000,
      gridL1W: 1000,
      gridL2W: -200,
      source: "inverter" as const,
    };
    expect(derivedOf("l1Loading", values)).toBe(0.25);
    expect(derivedOf("l2Loading", values)).toBe(0.5);
    expect(derivedOf("totalLoading", values)).toBe(0.4);
  });
});

describe("powers, none of them negative (D2, D10)", () => {
  const power = (column: DerivedColumn, values: Omit<Sample, "s">) =>
    derivedOf(column, { ...LOADS, source: "inverter", ...values });

  it("are discharge where the battery's power is positive, charge where it is negative", () => {
    expect(power("dischargeW", { batteryW: 500 })).toBe(500);
    expect(power("chargeW", { batteryW: 500 })).toBe(0);
    expect(power("dischargeW", { batteryA: -10, batteryV: 50 })).toBe(0);
    expect(power("chargeW", { batteryA: -10, batteryV: 50 })).toBe(500);
  });

  it("are import where the grid's power is positive, export where it is negative", () => {
    expect(power("importW", { gridW: 500 })).toBe(500);
    expect(power("exportW", { gridW: 500 })).toBe(0);
    expect(power("exportW", { gridW: -500 })).toBe(500);
    expect(power("importW", { gridL1A: 5, gridL2A: -1 })).toBe(480);
  });

  it("are the sum of the strings where the sun's power isn't measured", () => {
    expect(power("solarPartW", { solar1W: 300, solar2W: 200 })).toBe(500);
    expect(power("solarPartW", { solar1W: 300, solar2W: 200, solarW: 450 })).toBe(450);
  });

  it("are on utility the balance where the grid isn't measured: load and charging less sun", () => {
    const values = { batteryW: -600, solarW: 200 };
    expect(power("importW", { ...values, source: "utility" })).toBe(4000);
    expect(power("importW", { ...values, source: "generator" })).toBe(4000);
    expect(power("importW", values)).toBe(0);
    expect(power("importW", { solarW: 9000, source: "utility" })).toBe(0);
  });
});

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
    // The sun charges first: of 2400 W of charging 600 W are the grid's, 2.5 A a leg, though it brings more.
    const sunny = {
      ...LOADS,
      batteryA: -50,
      batteryV: 48,
      solarW: 1800,
      gridW: 4800,
      source: "utility",
    } as const;
    expect(derivedOf("serviceL1A", sunny)).toBe(22.5);
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
