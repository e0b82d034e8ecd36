import { describe, expect, it } from "vitest";
import {
  closeContinuousLoad,
  createContinuousLoadState,
  findContinuousLoad,
} from "../../../src/analysis/continuous-load";
import type { Ratings } from "../../../src/analysis/ratings";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, START_MS, steady } from "./samples";

const SERVICE: Ratings = { ...RATINGS, serviceA: 100 };

function found(samples: readonly Sample[], ratings: Ratings = SERVICE) {
  const frame = frameOf(samples, ratings);
  const state = createContinuousLoadState();
  findContinuousLoad(frame, state, ratings, 0, frame.sourced);
  closeContinuousLoad(state);
  return state.found;
}

const grid = (gridL1A: number, gridL2A = 10) => ({ gridL1A, gridL2A, source: "utility" as const });

describe("continuous load (D4)", () => {
  it("finds nothing in nothing, without ratings, or without the current", () => {
    expect(found([])).toEqual([]);
    expect(found(steady(400, 60, grid(90)), RATINGS)).toEqual([]);
    expect(found(steady(400, 60, { batterySocPct: 50, source: "inverter" }))).toEqual([]);
  });

  it("counts from 3 h on, not a minute less", () => {
    const run = (count: number) => [...steady(count, 60, grid(85)), ...steady(5, 60, grid(20), count * 60)];
    expect(found(run(179))).toEqual([]);
    expect(found(run(180))).toEqual([
      {
        device: "service",
        fromMs: START_MS,
        toMs: START_MS + 3 * 3_600_000,
        durationS: 10_800,
        ratingA: 100,
        meanA: 85,
        maxA: 85,
        maxAtMs: START_MS,
      },
    ]);
  });

  it("counts from 80 % of the rating on", () => {
    expect(found(steady(180, 60, grid(80)))).toHaveLength(1);
    expect(found(steady(180, 60, grid(79.99)))).toEqual([]);
    // 80 % of 45 A is 36 A, whatever 0.8 is as a double.
    for (const ratingA of [15, 35, 45, 70, 90, 110, 175, 225]) {
      const ratings = { ...RATINGS, serviceA: ratingA };
      expect(found(steady(180, 60, grid((ratingA * 4) / 5)), ratings)).toHaveLength(1);
    }
  });

  it("ends at a sample below, a missing value and a gap", () => {
    const cut = (middle: Sample[], restFromS: number) => [
      ...steady(120, 60, grid(90)),
      ...middle,
      ...steady(120, 60, grid(90), restFromS),
    ];
    expect(found(cut([{ s: 7200, ...grid(79) }], 7260))).toEqual([]);
    expect(found(cut([{ s: 7200, ...grid(Number.NaN, Number.NaN), loadW: Number.NaN }], 7260))).toEqual([]);
    expect(found(cut([], 7200 + 600))).toEqual([]);
    expect(found(cut([], 7200))).toHaveLength(1);
  });

  it("gives mean and greatest current and when", () => {
    const samples = steady(200, 60, grid(80)).map((one, i) => (i === 50 ? { ...one, gridL1A: 100 } : one));
    expect(found(samples)).toMatchObject([
      { durationS: 12_000, meanA: 80.1, maxA: 100, maxAtMs: START_MS + 3_000_000 },
    ]);
  });

  it("takes the heavier leg of the service, exports too, and the known one where the other isn't", () => {
    expect(found(steady(180, 60, grid(10, 90)))).toHaveLength(1);
    expect(found(steady(180, 60, grid(-90, -88)))).toMatchObject([{ maxA: 90 }]);
    expect(found(steady(180, 60, { ...grid(90), gridL2A: Number.NaN }))).toHaveLength(1);
  });

  it("exempts devices rated for 100 %", () => {
    expect(found(steady(180, 60, grid(90)), { ...SERVICE, hundredPercentRated: ["service"] })).toEqual([]);
    expect(found(steady(180, 60, grid(90)), { ...SERVICE, hundredPercentRated: ["dc-fuse"] })).toHaveLength(
      1,
    );
  });

  it("looks at the pass-through on utility", () => {
    const ratings = { ...RATINGS, passThroughA: 40 };
    const load = { loadL1A: 33, loadL2A: 5 };
    expect(found(steady(180, 60, { ...load, source: "utility" }), ratings)).toMatchObject([
      { device: "pass-through", ratingA: 40, meanA: 33 },
    ]);
    expect(found(steady(180, 60, { ...load, source: "inverter" }), ratings)).toEqual([]);
  });

  it("looks at the DC fuse by measured amperes, else by power over voltage, charging too", () => {
    const ratings: Ratings = { ...RATINGS, battery: { ...RATINGS.battery, fuseA: 200 } };
    const of = (values: Omit<Sample, "s">) => found(steady(180, 60, values), ratings);
    expect(of({ batteryA: 160 })).toMatchObject([{ device: "dc-fuse", ratingA: 200, maxA: 160 }]);
    expect(of({ batteryA: -160 })).toHaveLength(1);
    expect(of({ batteryW: 8000, batteryV: 50 })).toMatchObject([{ maxA: 160 }]);
    expect(of({ batteryW: -8000, batteryV: 50 })).toHaveLength(1);
    expect(of({ batteryA: 159, batteryW: 9000, batteryV: 50 })).toEqual([]);
    expect(of({ batteryW: 9000 })).toEqual([]);
    expect(of({ batteryW: 9000, batteryV: 0 })).toEqual([]);
  });

  it("begins anew where another rating counts", () => {
    const frame = frameOf(steady(360, 60, grid(90)), SERVICE);
    const state = createContinuousLoadState();
    findContinuousLoad(frame, state, SERVICE, 0, 200);
    findContinuousLoad(frame, state, { ...SERVICE, serviceA: 110 }, 200, 360);
    closeContinuousLoad(state);
    expect(state.found).toMatchObject([{ ratingA: 100, durationS: 12_000 }]);
  });

  it("goes on over slices and is there before the log ends once it is over", () => {
    const frame = frameOf([...steady(200, 60, grid(90)), ...steady(2, 60, grid(5), 12_000)], SERVICE);
    const state = createContinuousLoadState();
    for (let row = 0; row < 200; row += 50) findContinuousLoad(frame, state, SERVICE, row, row + 50);
    expect(state.found).toEqual([]);
    findContinuousLoad(frame, state, SERVICE, 200, 202);
    expect(state.found).toMatchObject([{ durationS: 12_000 }]);
  });
});
