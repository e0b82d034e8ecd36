import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { shareAbove, valueExceeded } from "../../src/analysis/distribution";
import {
  addLegVoltage,
  createLegVoltageSums,
  legVoltageOf,
  mergeLegVoltage,
} from "../../src/analysis/leg-voltage";
import { addLoadDuration, createLoadDurationSums, mergeLoadDuration } from "../../src/analysis/load-duration";
import { quantile } from "../../src/analysis/quantile";
import type { Source } from "../../src/analysis/series";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, type Sample } from "../unit/analysis/samples";

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
        const whole = { loads: createLoadDurationSums(), volts: createLegVoltageSums() };
        addLoadDuration(frame, whole.loads, 0, list.length);
        addLegVoltage(frame, whole.volts, RATINGS, 0, list.length);
        const sliced = { loads: createLoadDurationSums(), volts: createLegVoltageSums() };
        for (let from = 0; from < list.length; from += step) {
          const to = Math.min(from + step, list.length);
          addLoadDuration(frame, sliced.loads, from, to);
          addLegVoltage(frame, sliced.volts, RATINGS, from, to);
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
