import { describe, expect, it } from "vitest";
import {
  closeOpenNeutral,
  createOpenNeutralState,
  findOpenNeutral,
  type OpenNeutralSuspicion,
} from "../../../src/analysis/open-neutral";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, START_MS, steady } from "./samples";

function stateOf(samples: readonly Sample[]) {
  const frame = frameOf(samples);
  const state = createOpenNeutralState();
  findOpenNeutral(frame, state, RATINGS, DEFAULT_SETTINGS, 0, frame.sourced);
  closeOpenNeutral(state);
  return state;
}

const found = (samples: readonly Sample[]): OpenNeutralSuspicion[] => stateOf(samples).found;
const at = (loadL1V: number, loadL2V: number, loadL1W: number, loadL2W: number) => ({
  loadL1V,
  loadL2V,
  loadL1W,
  loadL2W,
  source: "utility" as const,
});
const SOUND = at(120, 120, 1500, 500);
const BAD = at(112, 128, 1500, 500);

/** Two resistive loads behind a neutral of some ohms, each leg's source being 120 V. */
function behindNeutral(neutralOhm: number, l1W: number, l2W: number) {
  const g1 = l1W / 120 ** 2;
  const g2 = l2W / 120 ** 2;
  // The neutral point lies where the currents into it add up to nothing.
  const shift = (120 * (g1 - g2)) / (g1 + g2 + 1 / neutralOhm);
  const v1 = 120 - shift;
  const v2 = 120 + shift;
  return at(v1, v2, g1 * v1 ** 2, g2 * v2 ** 2);
}

describe("open neutral (D16)", () => {
  it("finds nothing in nothing", () => {
    expect(stateOf([])).toEqual({ run: null, found: [], evaluated: false });
    expect(found(steady(5, 10, SOUND))).toEqual([]);
  });

  it("takes three successive samples, not two", () => {
    const around = (count: number) => [
      ...steady(3, 10, SOUND),
      ...steady(count, 10, BAD, 30),
      ...steady(3, 10, SOUND, 30 + count * 10),
    ];
    expect(found(around(2))).toEqual([]);
    expect(found(around(3))).toEqual([
      {
        fromMs: START_MS + 30_000,
        toMs: START_MS + 60_000,
        samples: 3,
        maxDifferenceV: 16,
        maxDifferenceAtMs: START_MS + 30_000,
        l1V: 112,
        l2V: 128,
        l1W: 1500,
        l2W: 500,
        source: "utility",
      },
    ]);
  });

  it("tells the sample with the greatest difference, and is still there when the log ends in it", () => {
    const samples = [...steady(2, 10, BAD), ...steady(1, 10, at(100, 140, 2000, 300), 20)];
    expect(found(samples)).toMatchObject([
      { samples: 3, maxDifferenceV: 40, maxDifferenceAtMs: START_MS + 20_000, l2V: 140, l2W: 300 },
    ]);
  });

  it("ends at a gap and at a missing value", () => {
    const apart = [...steady(2, 10, BAD), ...steady(2, 10, BAD, 3600)];
    expect(found(apart)).toEqual([]);
    for (const missing of ["loadL1V", "loadL2W"] as const) {
      const holed = steady(5, 10, BAD).map((one, i) => (i === 2 ? { ...one, [missing]: Number.NaN } : one));
      expect(found(holed)).toEqual([]);
    }
  });

  it("wants more than 6 V between the legs", () => {
    expect(found(steady(5, 10, at(117, 123, 500, 100)))).toEqual([]);
    expect(found(steady(5, 10, at(116.9, 123, 500, 100)))).toHaveLength(1);
    const interrupted = steady(5, 10, BAD).map((one, i) =>
      i === 2 ? { ...one, ...at(117, 123, 500, 100) } : one,
    );
    expect(found(interrupted)).toEqual([]);
  });

  it("wants the sum within 5 % of 240 V, both included", () => {
    expect(found(steady(5, 10, at(110, 118, 900, 100)))).toHaveLength(1);
    expect(found(steady(5, 10, at(109.9, 118, 900, 100)))).toEqual([]);
    expect(found(steady(5, 10, at(120, 132, 900, 100)))).toHaveLength(1);
    expect(found(steady(5, 10, at(120, 132.1, 900, 100)))).toEqual([]);
  });

  it("wants the difference to follow the imbalance", () => {
    expect(found(steady(5, 10, at(112, 128, 300, 3000)))).toEqual([]);
    expect(found(steady(5, 10, at(128, 112, 300, 3000)))).toHaveLength(1);
    // Changing sides with the loads: one run.
    const swaps = Array.from({ length: 6 }, (_, i) => ({
      s: i * 10,
      ...(i % 2 === 0 ? BAD : at(128, 112, 500, 1500)),
    }));
    expect(found(swaps)).toMatchObject([{ samples: 6 }]);
  });

  it("isn't evaluated without leg loads, and says so", () => {
    const noLoads = steady(5, 10, { loadL1V: 112, loadL2V: 128, loadW: 2000 });
    expect(stateOf(noLoads)).toMatchObject({ found: [], evaluated: false });
    expect(stateOf(steady(5, 10, SOUND)).evaluated).toBe(true);
  });

  it("finds a quite open neutral, where the leg with the heavier load shows the fewer watts", () => {
    const open = behindNeutral(1e9, 1500, 500);
    expect(open.loadL1V).toBeCloseTo(60, 3);
    expect(open.loadL1W).toBeLessThan(open.loadL2W);
    expect(found(steady(5, 10, open))).toHaveLength(1);
  });

  it("finds a heavy load against next to none, where a meter shows no watts at a few volts", () => {
    expect(found(steady(5, 10, at(2.4, 237.6, 0, 39)))).toHaveLength(1);
    expect(found(steady(5, 10, at(0, 240, 0, 39)))).toHaveLength(1);
  });

  it.each([
    [0.5, 1500, 300],
    [1, 900, 100],
    [5, 400, 100],
    [20, 3000, 1500],
  ])("finds a neutral of %d Ω with %d W and %d W", (ohm, l1W, l2W) => {
    expect(found(steady(5, 10, behindNeutral(ohm, l1W, l2W)))).toHaveLength(1);
  });

  it("lets a sag of 6 V or less under a load on one leg be, and suspects a deeper one", () => {
    expect(found(steady(5, 10, at(114, 120, 3900, 200)))).toEqual([]);
    expect(found(steady(5, 10, at(113, 120, 3900, 200)))).toHaveLength(1);
  });

  it("goes on over slices", () => {
    const frame = frameOf(steady(6, 10, BAD));
    const state = createOpenNeutralState();
    for (let row = 0; row < 6; row += 2)
      findOpenNeutral(frame, state, RATINGS, DEFAULT_SETTINGS, row, row + 2);
    closeOpenNeutral(state);
    expect(state.found).toMatchObject([{ samples: 6, fromMs: START_MS, toMs: START_MS + 60_000 }]);
  });
});
