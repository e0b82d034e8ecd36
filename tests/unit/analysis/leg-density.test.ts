import { describe, expect, it } from "vitest";
import {
  addLegDensity,
  createLegDensitySums,
  type LegDensity,
  legDensityOf,
  mergeLegDensity,
} from "../../../src/analysis/leg-density";
import { frameOf } from "./frame-of";
import { RATINGS, type Sample, START_MS, steady } from "./samples";

function sumsOf(samples: readonly Sample[], ratings = RATINGS) {
  const frame = frameOf(samples, ratings);
  const sums = createLegDensitySums();
  addLegDensity(frame, sums, ratings, 0, frame.sourced);
  return sums;
}

const densityOf = (samples: readonly Sample[], ratings = RATINGS): LegDensity | null =>
  legDensityOf(sumsOf(samples, ratings));
const on = (source: Sample["source"], loadL1W: number, loadL2W: number) => ({ source, loadL1W, loadL2W });

// The definitions are this project's own (D2, D3, D9); the figures were reckoned by hand.
describe("density of the legs' loads", () => {
  it("is null without samples, without legs, with one leg alone, or without held time", () => {
    expect(legDensityOf(createLegDensitySums())).toBeNull();
    expect(densityOf(steady(10, 60, { loadW: 1000 }))).toBeNull();
    expect(densityOf(steady(10, 60, { loadL1W: 1000, loadL2W: Number.NaN }))).toBeNull();
    expect(densityOf([{ s: 0, ...on("inverter", 1000, 500) }])).toBeNull();
  });

  it("holds a constant load in one cell, whose lower edges it gives", () => {
    const density = densityOf(steady(10, 60, on("inverter", 1000, 549.9)));
    expect(density?.cellW).toBe(50);
    expect(density?.cells).toEqual([{ l1W: 1000, l2W: 500, heldS: 600, onInverterS: 600 }]);
    expect(density?.heldS).toBe(600);
  });

  it("has the time on inverter and the time in all, in cells by L1 and L2 ascending", () => {
    const density = densityOf([
      ...steady(2, 60, on("inverter", 4100, 300)),
      ...steady(3, 60, on("utility", 4100, 300), 120),
      ...steady(1, 60, on("unknown", -20, 75), 300),
    ]);
    expect(density?.cells).toEqual([
      { l1W: -50, l2W: 50, heldS: 60, onInverterS: 0 },
      { l1W: 4100, l2W: 300, heldS: 300, onInverterS: 120 },
    ]);
    expect([density?.heldS, density?.onInverterS]).toEqual([360, 120]);
  });

  it("loses no load, however great, nor however far below nothing", () => {
    const density = densityOf([
      { s: 0, ...on("inverter", 90_000, 100) },
      { s: 60, ...on("inverter", -90_000, 100) },
      { s: 120, ...on("utility", 100, 120_000) },
    ]);
    expect(density?.heldS).toBe(180);
    expect(density?.cells.map(({ l1W }) => l1W)).toEqual([-51_200, 100, 51_150]);
    expect(density?.peaks.l1).toEqual({ l1W: 90_000, l2W: 100, atMs: START_MS, source: "inverter" });
    expect(density?.peaks.l2).toEqual({
      l1W: 100,
      l2W: 120_000,
      atMs: START_MS + 120_000,
      source: "utility",
    });
    expect(density?.peaks.both.l2W).toBe(120_000);
    expect(density?.peaksOnInverter?.l2).toMatchObject({ l2W: 100, atMs: START_MS });
  });

  it("takes the earliest of equal peaks, and none of a row with a missing leg", () => {
    const density = densityOf([
      { s: 0, ...on("inverter", 500, 100) },
      { s: 60, ...on("inverter", 3000, 1000) },
      { s: 120, ...on("inverter", 3000, 900) },
      { s: 180, ...on("inverter", 9000, Number.NaN) },
      { s: 240, ...on("inverter", 2900, 1050) },
    ]);
    expect(density?.peaks).toEqual({
      l1: { l1W: 3000, l2W: 1000, atMs: START_MS + 60_000, source: "inverter" },
      l2: { l1W: 2900, l2W: 1050, atMs: START_MS + 240_000, source: "inverter" },
      both: { l1W: 3000, l2W: 1000, atMs: START_MS + 60_000, source: "inverter" },
    });
    expect(densityOf(steady(3, 60, on("utility", 1, 1)))?.peaksOnInverter).toBeNull();
  });

  it("counts the time a leg is full from its limit on, with what is left of the other in the mean", () => {
    const density = densityOf([
      ...steady(3, 60, on("inverter", 3999, 0)),
      ...steady(2, 60, on("inverter", 4000, 1000), 180),
      ...steady(2, 60, on("utility", 4500, 3000), 300),
      ...steady(1, 60, on("utility", 4200, 5000), 420),
    ]);
    // (2 · 3000 + 2 · 1000 + 1 · 0) / 5
    expect(density?.full.l1).toEqual({ heldS: 300, onInverterS: 120, otherHeadroomW: 1600 });
    expect(density?.full.l2).toEqual({ heldS: 60, onInverterS: 0, otherHeadroomW: 0 });
    expect(densityOf(steady(3, 60, on("inverter", 1, 1)))?.full.l1).toEqual({
      heldS: 0,
      onInverterS: 0,
      otherHeadroomW: null,
    });
  });

  it("takes a leg as full where its VA or a hot inverter's lower limit say so", () => {
    const va = densityOf(steady(2, 60, { ...on("inverter", 3500, 500), loadL1Va: 4100, loadL2Va: 500 }));
    expect(va?.full.l1.heldS).toBe(120);
    const hot = { ...RATINGS, derate: [{ aboveC: 45, ratio: 0.9 }] };
    const derated = densityOf(steady(2, 60, { ...on("inverter", 3650, 500), inverterTempC: 50 }), hot);
    expect(derated?.full.l1).toEqual({ heldS: 120, onInverterS: 120, otherHeadroomW: 3500 });
  });

  it("adds days up to the same as if all had come at once, and leaves them as they are", () => {
    const first = Array.from({ length: 400 }, (_, i) => ({ s: i * 60, ...on("inverter", i * 13, i * 7) }));
    const second = Array.from({ length: 300 }, (_, i) => ({
      s: i * 60,
      ...on(i % 3 === 0 ? "inverter" : "utility", 5200 - i * 17, i),
    }));
    const more = sumsOf(second);
    const before = structuredClone(more);
    const sums = sumsOf(first);
    mergeLegDensity(sums, more);
    mergeLegDensity(sums, createLegDensitySums());
    expect(more).toEqual(before);
    const moved = second.map((one) => ({ ...one, s: one.s + 400 * 60 }));
    const all = legDensityOf(sumsOf([...first, ...moved]));
    const added = legDensityOf(sums);
    expect(added?.cells).toEqual(all?.cells);
    expect(added?.full).toEqual(all?.full);
    expect(added?.peaks.l2).toEqual(all?.peaks.l2);
    // The second day's rows lie at its own times.
    expect(added?.peaks.l1.l1W).toBe(all?.peaks.l1.l1W);
    const fresh = createLegDensitySums();
    mergeLegDensity(fresh, more);
    expect(legDensityOf(fresh)).toEqual(legDensityOf(more));
    fresh.heldS[0]++;
    expect(more.heldS).toEqual(before.heldS);
  });

  it("grows to as many cells as there are, each with its time", () => {
    const walk = Array.from({ length: 5000 }, (_, i) => ({
      s: i,
      ...on("inverter", (i % 100) * 50, Math.floor(i / 100) * 50),
    }));
    const density = densityOf(walk);
    expect(density?.cells).toHaveLength(5000);
    expect(density?.cells.every(({ heldS }) => heldS === 1)).toBe(true);
    expect(density?.cells[4999]).toMatchObject({ l1W: 4950, l2W: 2450 });
  });
});
