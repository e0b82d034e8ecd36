import { describe, expect, it } from "vitest";
import {
  closeDemand,
  createDemandState,
  createDemandSums,
  demandOf,
  legHoursOf,
  mergeDemand,
  sumDemand,
} from "../../../src/analysis/demand";
import { createLocalClock } from "../../../src/analysis/local-time";
import type { Ratings } from "../../../src/analysis/ratings";
import { DEFAULT_SETTINGS } from "../../../src/analysis/settings";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, START_MS, steady } from "./samples";

const CLOCK = createLocalClock("America/Denver");

function sumsOf(samples: readonly Sample[], ratings: Ratings = RATINGS, settings = DEFAULT_SETTINGS) {
  const frame = frameOf(samples, ratings);
  const state = createDemandState();
  const sums = createDemandSums();
  sumDemand(frame, state, sums, ratings, settings, CLOCK, 0, frame.sourced);
  closeDemand(state, sums, ratings, settings, CLOCK);
  return sums;
}

const demand = (samples: readonly Sample[], ratings?: Ratings) => demandOf(sumsOf(samples, ratings), 1);
const legs = (loadL1W: number, loadL2W: number) => ({ loadL1W, loadL2W, source: "utility" as const });

describe("demand (D11)", () => {
  it("is null where there is nothing, only missing values, or too little", () => {
    expect(demandOf(createDemandSums(), 0)).toBeNull();
    expect(demand([])).toBeNull();
    expect(demand([{ s: 0, loadW: 1000 }])).toBeNull();
    expect(demand(steady(15, 60, { loadW: Number.NaN, batterySocPct: 3 }))).toBeNull();
    expect(demand(steady(11, 60, { loadW: 1000 }))).toBeNull();
    expect(demand(steady(12, 60, { loadW: 1000 }))?.peakW).toBe(1000);
  });

  it("has a load factor of 1 for a constant load, and none for none", () => {
    expect(demand(steady(30, 60, { loadW: 700 }))).toMatchObject({ peakW: 700, loadFactor: 1 });
    expect(demand(steady(30, 60, { loadW: 0 }))).toMatchObject({ peakW: 0, loadFactor: null });
  });

  it("names the earliest of equal peaks by its beginning, with the leg and its watts", () => {
    const samples = [...steady(15, 60, legs(100, 50)), ...steady(30, 60, legs(1200, 2400), 900)];
    expect(demand(samples)).toMatchObject({
      peakW: 3600,
      peakAtMs: START_MS + 900_000,
      heavierLegPeakW: 2400,
      heavierLegPeakA: 20,
      heavierLegPeakAtMs: START_MS + 900_000,
      heavierLegPeakLeg: "L2",
    });
    expect(demand(steady(15, 60, legs(600, 600)))?.heavierLegPeakLeg).toBe("L1");
  });

  it("divides by the nominal voltage of the leg, not the measured one", () => {
    const samples = steady(15, 60, { ...legs(2200, 0), loadL1V: 118 });
    expect(demand(samples, { ...RATINGS, legNominalV: 110 })?.heavierLegPeakA).toBe(20);
  });

  it("gives each quantity a coverage of its own", () => {
    const samples = steady(15, 60, legs(1200, 2400)).map((one, i) =>
      i < 4 ? { ...one, loadL2W: Number.NaN } : one,
    );
    const sums = sumsOf(samples);
    expect(sums.intervals).toBe(0);
    expect(sums).toMatchObject({ heavierLegPeakA: 10, heavierLegPeakLeg: "L1", servicePeakA: 10 });
  });

  it("gives the service's and the pass-through's greatest mean of the heavier leg", () => {
    const samples = [
      ...steady(15, 60, { ...legs(1200, 600), source: "utility" }),
      ...steady(15, 60, { ...legs(2400, 3600), source: "utility" }, 900),
      ...steady(15, 60, { ...legs(6000, 6000), source: "inverter" }, 1800),
    ];
    expect(demand(samples, { ...RATINGS, loadOutsideA: 5 })).toMatchObject({
      serviceA: 35,
      serviceAtMs: START_MS + 900_000,
      passThroughA: 30,
      passThroughAtMs: START_MS + 900_000,
      heavierLegPeakA: 50,
    });
    const onInverter = demand(steady(15, 60, { ...legs(1200, 600), source: "inverter" }));
    expect(onInverter).toMatchObject({ serviceA: null, serviceAtMs: null, passThroughA: null });
  });

  it("takes no mean of nothing, even where no coverage is asked for", () => {
    const settings = { ...DEFAULT_SETTINGS, demandCoverage: 0 } as unknown as typeof DEFAULT_SETTINGS;
    const sums = sumsOf(steady(15, 60, { loadW: Number.NaN, batterySocPct: 3 }), RATINGS, settings);
    expect(demandOf(sums, 1)).toBeNull();
  });

  it("ends an interval at the end of a day, whatever the clock shows there", () => {
    const frame = frameOf(steady(24, 60, { loadW: 1000 }));
    const state = createDemandState();
    const first = createDemandSums();
    const second = createDemandSums();
    sumDemand(frame, state, first, RATINGS, DEFAULT_SETTINGS, CLOCK, 0, 8);
    closeDemand(state, first, RATINGS, DEFAULT_SETTINGS, CLOCK);
    sumDemand(frame, state, second, RATINGS, DEFAULT_SETTINGS, CLOCK, 8, 24);
    closeDemand(state, second, RATINGS, DEFAULT_SETTINGS, CLOCK);
    // 8 minutes on one side, 7 on the other: neither is an interval. The 9 after are none either.
    expect(first.intervals).toBe(0);
    expect(second.intervals).toBe(0);
  });

  it("adds days up, keeping the earlier of equal peaks", () => {
    const low = sumsOf(steady(15, 60, legs(1200, 600)));
    const high = sumsOf(steady(30, 60, legs(600, 2400)).map((one) => ({ ...one, s: one.s + 900 })));
    const again = sumsOf(steady(15, 60, legs(600, 2400)).map((one) => ({ ...one, s: one.s + 9000 })));
    const sums = createDemandSums();
    for (const more of [low, createDemandSums(), high, again]) mergeDemand(sums, more);
    expect(demandOf(sums, 3)).toEqual({
      peakW: 3000,
      peakAtMs: START_MS + 900_000,
      heavierLegPeakA: 20,
      heavierLegPeakAtMs: START_MS + 900_000,
      heavierLegPeakLeg: "L2",
      heavierLegPeakW: 2400,
      serviceA: 20,
      serviceAtMs: START_MS + 900_000,
      passThroughA: 20,
      passThroughAtMs: START_MS + 900_000,
      loadFactor: (1800 + 3 * 3000) / 4 / 3000,
      recordDays: 3,
    });
  });

  it("keeps amperes and watts apart where the nominal voltage changes", () => {
    const at120 = sumsOf(steady(15, 60, legs(2400, 0)));
    const at100 = sumsOf(steady(15, 60, legs(2200, 0)), { ...RATINGS, legNominalV: 100 });
    mergeDemand(at120, at100);
    expect(at120).toMatchObject({ heavierLegPeakA: 22, heavierLegPeakW: 2400 });
  });
});

describe("load of the legs by local hour", () => {
  it("is null in every hour where no leg is known", () => {
    const hours = legHoursOf(createDemandSums());
    expect(hours).toHaveLength(24);
    expect(
      hours.every(
        ({ l1W, l2W, l1HeldS, l2HeldS }) => l1W === null && l2W === null && l1HeldS + l2HeldS === 0,
      ),
    ).toBe(true);
  });

  it("is the mean over the time each leg is known, at the site's hours, however little of an hour is covered", () => {
    // From 00:50 on: ten minutes of hour 0, ten of hour 1.
    const at = 50 * 60;
    const sums = sumsOf([
      ...steady(10, 60, legs(1000, 200), at),
      ...steady(5, 60, legs(3000, Number.NaN), at + 600),
      ...steady(5, 60, legs(1000, 600), at + 900),
    ]);
    const hours = legHoursOf(sums);
    expect(hours[0]).toEqual({ hour: 0, l1W: 1000, l1HeldS: 600, l2W: 200, l2HeldS: 600 });
    expect(hours[1]).toEqual({ hour: 1, l1W: 2000, l1HeldS: 600, l2W: 600, l2HeldS: 300 });
    expect(hours[2].l1W).toBeNull();
  });

  it("gives a hold over the end of an hour to each hour what lies in it, and adds days up", () => {
    // Samples of an hour and a half: 00:00, 01:30, 03:00.
    const sums = sumsOf([0, 1, 2].map((i) => ({ s: i * 5400, ...legs(1000 * (i + 1), 0) })));
    const first = legHoursOf(sums);
    expect(first.slice(0, 5).map(({ l1W }) => l1W)).toEqual([1000, 1500, 2000, 3000, 3000]);
    expect(first.slice(0, 5).map(({ l1HeldS }) => l1HeldS)).toEqual([3600, 3600, 3600, 3600, 1800]);
    mergeDemand(sums, sumsOf(steady(60, 60, legs(3000, 100))));
    expect(legHoursOf(sums)[0]).toEqual({ hour: 0, l1W: 2000, l1HeldS: 7200, l2W: 50, l2HeldS: 7200 });
  });
});
