import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createBatterySums, mergeBattery } from "../../src/analysis/battery";
import { addCoverage, createCoverageSums, mergeCoverage } from "../../src/analysis/coverage";
import type { DayRecord } from "../../src/analysis/day-record";
import {
  closeDemand,
  createDemandState,
  createDemandSums,
  demandOf,
  legHoursOf,
  mergeDemand,
  sumDemand,
} from "../../src/analysis/demand";
import { shareAbove, valueExceeded } from "../../src/analysis/distribution";
import { addImbalance, createImbalanceSums, imbalanceOf, mergeImbalance } from "../../src/analysis/imbalance";
import {
  addLegDensity,
  createLegDensitySums,
  legDensityOf,
  mergeLegDensity,
} from "../../src/analysis/leg-density";
import {
  addLegVoltage,
  createLegVoltageSums,
  legVoltageOf,
  mergeLegVoltage,
} from "../../src/analysis/leg-voltage";
import {
  addLoadDuration,
  createLoadDurationSums,
  loadDurationOf,
  mergeLoadDuration,
} from "../../src/analysis/load-duration";
import { createLocalClock } from "../../src/analysis/local-time";
import { periodFigures } from "../../src/analysis/period-figures";
import { quantile } from "../../src/analysis/quantile";
import type { Source } from "../../src/analysis/series";
import { DEFAULT_SETTINGS } from "../../src/analysis/settings";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, review, type Sample, seriesOf, steady } from "../unit/analysis/samples";

const CLOCK = createLocalClock("America/Denver");

const reading = (min: number, max: number) =>
  fc.oneof(
    { weight: 9, arbitrary: fc.double({ min, max, noNaN: true }) },
    { weight: 1, arbitrary: fc.constant(Number.NaN) },
  );
const samples: fc.Arbitrary<Sample[]> = fc
  .array(
    fc.record({
      stepS: fc.constantFrom(10, 10, 10, 60, 7200),
      loadL1W: reading(-500, 9000),
      loadL2W: reading(0, 4000),
      loadL1V: reading(0, 250),
      loadL2V: reading(110, 130),
      source: fc.constantFrom<Source>("inverter", "utility", "unknown", "none"),
    }),
    { minLength: 1, maxLength: 200 },
  )
  .map((list) => {
    let s = 0;
    return list.map(({ stepS, ...values }) => {
      s += stepS;
      return { s, ...values };
    });
  });

describe("sums of a period", () => {
  it("are the same to the bit whatever the slices that rows come in", () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 1, max: 50 }), (list, step) => {
        const frame = frameOf(list);
        const none = () => ({
          loads: createLoadDurationSums(),
          volts: createLegVoltageSums(),
          legs: createLegDensitySums(),
          imbalance: createImbalanceSums(),
        });
        const whole = none();
        addLoadDuration(frame, whole.loads, 0, list.length);
        addLegVoltage(frame, whole.volts, RATINGS, 0, list.length);
        addLegDensity(frame, whole.legs, RATINGS, 0, list.length);
        addImbalance(frame, whole.imbalance, RATINGS, DEFAULT_SETTINGS, 0, list.length);
        const sliced = none();
        for (let from = 0; from < list.length; from += step) {
          const to = Math.min(from + step, list.length);
          addLoadDuration(frame, sliced.loads, from, to);
          addLegVoltage(frame, sliced.volts, RATINGS, from, to);
          addLegDensity(frame, sliced.legs, RATINGS, from, to);
          addImbalance(frame, sliced.imbalance, RATINGS, DEFAULT_SETTINGS, from, to);
        }
        expect(sliced).toEqual(whole);
      }),
    );
  });

  it("add up, day by day, to those of all rows", () => {
    fc.assert(
      fc.property(samples, fc.integer({ min: 0, max: 200 }), (list, at) => {
        const frame = frameOf(list);
        const cut = Math.min(at, list.length);
        const whole = { loads: createLoadDurationSums(), volts: createLegVoltageSums() };
        const added = { loads: createLoadDurationSums(), volts: createLegVoltageSums() };
        addLoadDuration(frame, whole.loads, 0, list.length);
        addLegVoltage(frame, whole.volts, RATINGS, 0, list.length);
        for (const [from, to] of [
          [0, cut],
          [cut, list.length],
        ]) {
          const day = { loads: createLoadDurationSums(), volts: createLegVoltageSums() };
          addLoadDuration(frame, day.loads, from, to);
          addLegVoltage(frame, day.volts, RATINGS, from, to);
          mergeLoadDuration(added.loads, day.loads);
          mergeLegVoltage(added.volts, day.volts);
        }
        expect(added.loads).toEqual(whole.loads);
        const expected = legVoltageOf(whole.volts);
        const found = legVoltageOf(added.volts);
        for (const leg of ["l1", "l2"] as const) {
          const { sag: foundSag, ...figures } = found?.[leg] ?? { sag: [] };
          const { sag: expectedSag, ...expectedFigures } = expected?.[leg] ?? { sag: [] };
          expect(figures).toEqual(expectedFigures);
          expect(foundSag.map((one) => one.n)).toEqual(expectedSag.map((one) => one.n));
          foundSag.forEach((one, i) => {
            const { voltsPerKw } = expectedSag[i];
            expect(Math.abs(one.voltsPerKw - voltsPerKw)).toBeLessThanOrEqual(
              1e-6 * (1 + Math.abs(voltsPerKw)),
            );
          });
        }
      }),
    );
  });

  it("give the duration curve and the percentiles that sorting gives", () => {
    fc.assert(
      fc.property(samples, fc.double({ min: 0, max: 1, noNaN: true }), (list, share) => {
        const frame = frameOf(list);
        const loads = createLoadDurationSums();
        addLoadDuration(frame, loads, 0, list.length);
        const rows = [...frame.derived.l1W.keys()].filter((row) => !Number.isNaN(frame.derived.l1W[row]));
        if (rows.length > 0) {
          rows.sort((a, b) => frame.derived.l1W[b] - frame.derived.l1W[a]);
          const totalS = rows.reduce((sum, row) => sum + frame.holdS[row], 0);
          if (totalS > 0) {
            let heldS = 0;
            const row = rows.find((one) => {
              heldS += frame.holdS[one];
              return heldS >= share * totalS * (1 - 1e-9);
            });
            const sorted = frame.derived.l1W[row ?? rows[rows.length - 1]];
            expect(Math.abs(valueExceeded(loads.l1, share) - sorted)).toBeLessThanOrEqual(5 + 1e-9);
            expect(shareAbove(loads.l1, valueExceeded(loads.l1, share))).toBeLessThanOrEqual(share + 1e-9);
          }
        }
        const volts = createLegVoltageSums();
        addLegVoltage(frame, volts, RATINGS, 0, list.length);
        const known = (frame.raw.loadL1V ?? new Float32Array(0)).filter((one) => !Number.isNaN(one)).sort();
        const figures = legVoltageOf(volts)?.l1;
        if (known.length === 0) expect(figures ?? null).toBeNull();
        else {
          expect(figures?.p1V).toBe(quantile(known, 0.01));
          expect(figures?.p99V).toBe(quantile(known, 0.99));
          expect(figures?.minV).toBe(known[0]);
          expect(figures?.maxV).toBe(known[known.length - 1]);
        }
      }),
    );
  });
});

/** Some days at coarse intervals, so that figures come from many local days and holds lie across midnights. */
const days: fc.Arbitrary<Sample[]> = fc
  .array(
    fc.record({
      count: fc.integer({ min: 1, max: 40 }),
      stepS: fc.constantFrom(60, 600, 600, 1800, 7200, 50_000),
      loadL1W: reading(-500, 9000),
      loadL2W: reading(0, 4000),
      riseW: fc.constantFrom(0, 0, 7.7),
      loadL1V: reading(100, 130),
      loadL2V: reading(110, 130),
      gridL1A: reading(-20, 60),
      batterySocPct: reading(0, 100),
      source: fc.constantFrom<Source>("inverter", "utility", "unknown", "none"),
    }),
    { minLength: 1, maxLength: 10 },
  )
  .map((list) => {
    let s = 0;
    return list.flatMap(({ count, stepS, riseW, ...values }) =>
      Array.from({ length: count }, (_, i) => {
        s += stepS;
        return { s, ...values, loadL1W: values.loadL1W + i * riseW };
      }),
    );
  });

/** The sums of all rows in one go, as if there were no days. */
function sumsOfAllRows(list: readonly Sample[]): Sums {
  const frame = frameOf(list);
  const end = list.length;
  const sums = noSums();
  const demand = createDemandState();
  addCoverage(frame, sums.coverage, 0, end);
  addImbalance(frame, sums.imbalance, RATINGS, DEFAULT_SETTINGS, 0, end);
  sumDemand(frame, demand, sums.demand, RATINGS, DEFAULT_SETTINGS, CLOCK, 0, end);
  closeDemand(demand, sums.demand, RATINGS, DEFAULT_SETTINGS, CLOCK);
  addLoadDuration(frame, sums.load, 0, end);
  addLegVoltage(frame, sums.voltage, RATINGS, 0, end);
  addLegDensity(frame, sums.legs, RATINGS, 0, end);
  return sums;
}

type Sums = Omit<DayRecord["sums"], "date" | "fromMs" | "toMs" | "counts">;

function noSums(): Sums {
  return {
    coverage: createCoverageSums(),
    imbalance: createImbalanceSums(),
    demand: createDemandSums(),
    load: createLoadDurationSums(),
    voltage: createLegVoltageSums(),
    battery: createBatterySums(),
    legs: createLegDensitySums(),
  };
}

function merge(into: Sums, more: Sums): void {
  mergeCoverage(into.coverage, more.coverage);
  mergeImbalance(into.imbalance, more.imbalance);
  mergeDemand(into.demand, more.demand);
  mergeLoadDuration(into.load, more.load);
  mergeLegVoltage(into.voltage, more.voltage);
  mergeBattery(into.battery, more.battery);
  mergeLegDensity(into.legs, more.legs);
}

function merged(parts: readonly Sums[]): Sums {
  const sums = noSums();
  for (const part of parts) merge(sums, part);
  return sums;
}

/** What is read off the sums of a period. */
function figuresOf(sums: Sums) {
  return {
    heldS: sums.coverage.heldS,
    missingS: [...sums.coverage.missingS],
    imbalance: imbalanceOf(sums.imbalance, []),
    demand: demandOf(sums.demand, 0),
    load: loadDurationOf(sums.load),
    voltage: legVoltageOf(sums.voltage),
    density: legDensityOf(sums.legs),
    hours: legHoursOf(sums.demand),
    neutral: { s: sums.imbalance.neutral.totalS, heldS: [...sums.imbalance.neutral.heldS] },
  };
}

/** Paths at which two objects differ: numbers by more than float64 adds in another order, everything else at all. */
function apart(a: unknown, b: unknown, path = ""): string[] {
  if (typeof a === "number" && typeof b === "number") {
    // A slope is a small difference of large sums.
    const allowed = path.includes(".sag.") ? 1e-6 : 1e-9;
    return Math.abs(a - b) <= allowed * Math.max(1, Math.abs(a)) || Object.is(a, b)
      ? []
      : [`${path}: ${a}, ${b}`];
  }
  if (a === null || b === null || typeof a !== "object" || typeof b !== "object") {
    return a === b ? [] : [`${path}: ${a}, ${b}`];
  }
  const names = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...names].flatMap((name) =>
    apart((a as { [k: string]: unknown })[name], (b as { [k: string]: unknown })[name], `${path}.${name}`),
  );
}

describe("days added up to a period", () => {
  it("give the figures of all rows in one go", () => {
    fc.assert(
      fc.property(days, (list) => {
        const result = review(seriesOf(list));
        const whole = figuresOf(sumsOfAllRows(list));
        expect(apart(figuresOf(merged(result.days.map((day) => day.sums))), whole)).toEqual([]);
        const { figures } = result;
        expect(apart(figures.demand?.peakAtMs ?? null, whole.demand?.peakAtMs ?? null)).toEqual([]);
        expect(apart(figures.loadDuration, whole.load)).toEqual([]);
        expect(apart(figures.voltage, whole.voltage)).toEqual([]);
        expect(figures.coverage.samples).toBe(list.length);
      }),
      { numRuns: 60 },
    );
  });

  it("give the same whether they come one by one or as periods of their own", () => {
    fc.assert(
      fc.property(days, fc.array(fc.nat({ max: 30 }), { maxLength: 4 }), (list, cuts) => {
        const sums = review(seriesOf(list)).days.map((day) => day.sums);
        const edges = [0, ...cuts.map((cut) => Math.min(cut, sums.length)), sums.length].sort(
          (a, b) => a - b,
        );
        const periods = edges.slice(1).map((edge, i) => merged(sums.slice(edges[i], edge)));
        // An empty period on either side changes nothing.
        const whole = figuresOf(merged(sums));
        expect(apart(figuresOf(merged([noSums(), ...periods, noSums()])), whole)).toEqual([]);
        // Nor does it matter which of three are added first.
        const middle = Math.min(1, periods.length);
        const late = merged([merged(periods.slice(0, middle)), merged(periods.slice(middle))]);
        expect(apart(figuresOf(late), whole)).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  it("leave the days that they were added up from as they are", () => {
    fc.assert(
      fc.property(days, (list) => {
        const result = review(seriesOf(list));
        const before = structuredClone(result.days);
        const parts = { days: result.days, nearLimit: [], imbalance: [] };
        const once = periodFigures(parts);
        expect(periodFigures(parts)).toEqual(once);
        expect(result.days).toEqual(before);
      }),
      { numRuns: 30 },
    );
  });

  it("stand in order, each once, and of equal figures the earliest day's stays", () => {
    const list = steady(5 * 144, 600, {
      source: "inverter",
      loadL1W: 3000,
      loadL2W: 1000,
      loadL1V: 119,
      loadL2V: 121,
    });
    const result = review(seriesOf(list));
    const dates = result.days.map((day) => day.date);
    expect(dates).toEqual(["2026-05-14", "2026-05-15", "2026-05-16", "2026-05-17", "2026-05-18"]);
    const { demand, imbalance, voltage } = result.figures;
    const firstMs = result.days[0].fromMs;
    expect(demand?.peakAtMs).toBe(firstMs);
    expect(demand?.heavierLegPeakAtMs).toBe(firstMs);
    expect(imbalance?.maxNeutralAtMs).toBe(firstMs);
    expect([voltage?.l1?.minAtMs, voltage?.l1?.maxAtMs]).toEqual([firstMs, firstMs]);
    // The later days alone begin where they begin.
    const later = periodFigures({ days: result.days.slice(2), nearLimit: [], imbalance: [] });
    expect(later.demand?.peakAtMs).toBe(result.days[2].fromMs);
    expect(later.demand?.recordDays).toBe(3);
  });
});
