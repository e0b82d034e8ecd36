import { describe, expect, it } from "vitest";
import {
  addBatteryResistance,
  batteryResistanceOf,
  createBatteryResistanceSums,
  mergeBatteryResistance,
} from "../../../src/analysis/battery-resistance";
import { frameOf } from "./frame-of";
import type { Sample } from "./samples";

function sumsOf(samples: readonly Sample[]) {
  const frame = frameOf(samples);
  const sums = createBatteryResistanceSums();
  addBatteryResistance(frame, sums, 0, frame.sourced);
  return sums;
}

/** A load that comes and goes each minute: so many steps of 20 to 120 A up and down at 12 mΩ. */
function stepping(steps: number, ohm = 0.012): Sample[] {
  return Array.from({ length: steps + 1 }, (_, i) => {
    const batteryA = i % 2 === 0 ? 10 : 30 + ((i * 37) % 100);
    return { s: i * 60, batteryA, batteryV: 53 - ohm * batteryA };
  });
}

describe("internal resistance (D13)", () => {
  it("is null without steps, under 20 of them, and where they are all alike", () => {
    expect(batteryResistanceOf(createBatteryResistanceSums())).toBeNull();
    expect(batteryResistanceOf(sumsOf(stepping(19)))).toBeNull();
    const creeping = Array.from(
      { length: 99 },
      (_, i): Sample => ({ s: i * 60, batteryA: i * 9.9, batteryV: 50 }),
    );
    expect(batteryResistanceOf(sumsOf(creeping))).toBeNull();
    const alike = Array.from(
      { length: 25 },
      (_, i): Sample => ({ s: i * 60, batteryA: i * 20, batteryV: 53 - i }),
    );
    expect(batteryResistanceOf(sumsOf(alike))).toBeNull();
  });

  it("is null where the voltage rises under load, or isn't there", () => {
    expect(batteryResistanceOf(sumsOf(stepping(60, -0.012)))).toBeNull();
    expect(
      batteryResistanceOf(sumsOf(stepping(60).map((one) => ({ ...one, batteryV: undefined })))),
    ).toBeNull();
  });

  it("is the slope of the voltage over steps of the current, with the delay", () => {
    const resistance = batteryResistanceOf(sumsOf(stepping(60)));
    expect(resistance?.ohm).toBeCloseTo(0.012, 6);
    expect(resistance?.r2).toBeCloseTo(1, 4);
    expect(resistance).toMatchObject({ steps: 60, stepMinA: 10, delayS: 60 });
  });

  it("leaves out steps over a gap or with a missing value", () => {
    const samples = stepping(60);
    samples[30].batteryA = Number.NaN;
    samples[40].batteryV = Number.NaN;
    for (const one of samples.slice(50)) one.s += 9000;
    expect(sumsOf(samples).line.n).toBe(60 - 5);
  });

  it("adds days up", () => {
    const sums = sumsOf(stepping(30));
    mergeBatteryResistance(sums, sumsOf(stepping(31)));
    expect(batteryResistanceOf(sums)?.steps).toBe(61);
    expect(batteryResistanceOf(sums)?.ohm).toBeCloseTo(0.012, 6);
  });
});
