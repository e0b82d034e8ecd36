import { describe, expect, it } from "vitest";
import {
  addBatteryCurrent,
  batteryCurrentOf,
  createBatteryCurrentSums,
  mergeBatteryCurrent,
} from "../../../src/analysis/battery-current";
import type { BatteryRatings, Ratings } from "../../../src/analysis/ratings";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, START_MS, steady } from "./samples";

const withBattery = (battery: BatteryRatings): Ratings => ({ ...RATINGS, battery });

function sumsOf(samples: readonly Sample[], ratings = RATINGS) {
  const frame = frameOf(samples, ratings);
  const sums = createBatteryCurrentSums();
  addBatteryCurrent(frame, sums, ratings, 0, frame.sourced);
  return sums;
}

describe("battery current (D13)", () => {
  it("is null where the log has none, or only holes", () => {
    expect(batteryCurrentOf(createBatteryCurrentSums())).toBeNull();
    expect(batteryCurrentOf(sumsOf(steady(5, 60, { loadW: 100 })))).toBeNull();
    expect(batteryCurrentOf(sumsOf(steady(5, 60, { batteryA: Number.NaN })))).toBeNull();
    expect(batteryCurrentOf(sumsOf(steady(5, 60, { batteryW: 500 })))).toBeNull();
    expect(batteryCurrentOf(sumsOf(steady(5, 60, { batteryW: 500, batteryV: 0 })))).toBeNull();
  });

  it("has no greatest either way for a battery at rest", () => {
    const current = batteryCurrentOf(sumsOf(steady(5, 60, { batteryA: 0 })));
    expect(current).toMatchObject({
      heldS: 300,
      maxDischargeA: null,
      maxDischargeAtMs: null,
      maxChargeA: null,
      p99A: 0,
      maxCRate: 0,
      aboveMaxDischargeS: 0,
    });
  });

  it("tells the greatest each way with the earliest time, and the time above each rating", () => {
    const ratings = withBattery({ maxDischargeA: 200, maxChargeA: 100, fuseA: 250, capacityAh: 400 });
    const amps = [10, 200, 200.5, 240, 251, 251, -100, -101, -255, 0];
    const current = batteryCurrentOf(
      sumsOf(
        amps.map((batteryA, i) => ({ s: i * 60, batteryA })),
        ratings,
      ),
    );
    expect(current).toMatchObject({
      maxDischargeA: 251,
      maxDischargeAtMs: START_MS + 4 * 60_000,
      maxChargeA: 255,
      maxChargeAtMs: START_MS + 8 * 60_000,
      // At the rating is not above it.
      aboveMaxDischargeS: 4 * 60,
      aboveMaxChargeS: 2 * 60,
      aboveFuseS: 3 * 60,
      // 200 A is 80 % of 250 A: above it are 200.5, 240, 251, 251, and 255 the other way.
      above80PctFuseS: 5 * 60,
      maxCRate: 255 / 400,
      heldS: 600,
      reckonedS: 0,
    });
  });

  it("holds nothing against a rating that isn't given", () => {
    const current = batteryCurrentOf(sumsOf(steady(5, 60, { batteryA: 300 }), withBattery({})));
    expect(current).toMatchObject({
      aboveMaxDischargeS: null,
      aboveMaxChargeS: null,
      aboveFuseS: null,
      above80PctFuseS: null,
      maxCRate: null,
      p99CRate: null,
    });
  });

  it("takes watts over volts where amperes are missing, and says for how long", () => {
    const samples: Sample[] = [
      { s: 0, batteryA: 20, batteryW: 999, batteryV: 50 },
      { s: 60, batteryW: 5000, batteryV: 50 },
      { s: 120, batteryW: 5000, batteryV: -1 },
      { s: 180, batteryW: -1000, batteryV: 50 },
    ];
    expect(batteryCurrentOf(sumsOf(samples))).toMatchObject({
      maxDischargeA: 100,
      maxChargeA: 20,
      heldS: 180,
      reckonedS: 120,
    });
  });

  it("finds what is exceeded for a hundredth of the time, whichever way it flows", () => {
    const samples = [
      ...steady(98, 60, { batteryA: 10 }),
      { s: 98 * 60, batteryA: -77 },
      { s: 99 * 60, batteryA: 150 },
    ];
    expect(batteryCurrentOf(sumsOf(samples))).toMatchObject({ p99A: 150, p99CRate: 150 / 400 });
    const more = [
      ...steady(197, 60, { batteryA: 10 }),
      ...samples.slice(98).map((one) => ({ ...one, s: one.s + 99 * 60 })),
    ];
    more.push({ s: 199 * 60, batteryA: 12 });
    expect(batteryCurrentOf(sumsOf(more))?.p99A).toBe(77);
  });

  it("adds days up, each with the capacity and the ratings of its own", () => {
    const small = withBattery({ capacityAh: 100, maxDischargeA: 40 });
    const large = withBattery({ capacityAh: 400, fuseA: 50 });
    const sums = sumsOf(steady(10, 60, { batteryA: 50 }), small);
    mergeBatteryCurrent(sums, sumsOf(steady(10, 60, { batteryA: 60 }, 600), large));
    expect(batteryCurrentOf(sums)).toMatchObject({
      maxDischargeA: 60,
      maxCRate: 0.5,
      p99CRate: 0.5,
      aboveMaxDischargeS: 600,
      aboveFuseS: 600,
      aboveMaxChargeS: null,
      heldS: 1200,
    });
    expect(batteryCurrentOf(sums)?.bins).toEqual([
      { amps: 50, heldS: 600 },
      { amps: 60, heldS: 600 },
    ]);
  });

  it("keeps the earlier of two equal days", () => {
    const sums = sumsOf(steady(2, 60, { batteryA: 50 }));
    mergeBatteryCurrent(sums, sumsOf(steady(2, 60, { batteryA: 50 }, 86_400)));
    expect(batteryCurrentOf(sums)?.maxDischargeAtMs).toBe(START_MS);
  });
});
