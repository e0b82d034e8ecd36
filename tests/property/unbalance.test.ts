import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { unbalance } from "../../src/analysis/unbalance";

const amps = fc.double({ min: 0, max: 400, noNaN: true });

describe("two legs of a split-phase supply", () => {
  it("carry in their three wires twice what the heavier leg does", () => {
    // Wikipedia, "Split-phase electric power": I1 + I2 + |I1 − I2| = 2 max(I1, I2).
    fc.assert(
      fc.property(amps, amps, (a, b) => {
        expect(a + b + Math.abs(a - b)).toBeCloseTo(2 * Math.max(a, b), 9);
      }),
    );
  });

  it("are unbalanced by the neutral's current over the legs' sum", () => {
    fc.assert(
      fc.property(amps, amps, (a, b) => {
        fc.pre(a + b > 1e-6);
        expect(unbalance([a, b])).toBeCloseTo(Math.abs(a - b) / (a + b), 9);
        expect(unbalance([b, a])).toBe(unbalance([a, b]));
      }),
    );
  });

  it("stay as unbalanced when both grow alike, and never by more than all", () => {
    fc.assert(
      fc.property(amps, amps, fc.double({ min: 0.01, max: 100, noNaN: true }), (a, b, times) => {
        fc.pre(a + b > 1e-6);
        const before = unbalance([a, b]);
        expect(unbalance([a * times, b * times])).toBeCloseTo(before, 9);
        expect(before).toBeGreaterThanOrEqual(0);
        expect(before).toBeLessThanOrEqual(1 + 1e-12);
      }),
    );
  });
});
