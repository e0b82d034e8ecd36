import { describe, expect, it } from "vitest";
import { addLegVoltage, createLegVoltageSums, legVoltageOf } from "../../src/analysis/leg-voltage";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, steady } from "../unit/analysis/samples";

/**
 * Service voltage of 120/240 V as a state rule prints it: 114 to 126 V on a leg, 228 to 252 V across both. COMAR
 * 20.50.07.02, http://www.dsd.state.md.us/comar/comarhtml/20/20.50.07.02.htm. Limits elsewhere differ.
 */
describe("service voltage range", () => {
  it.each([
    [113.9, 60, 0],
    [114, 0, 0],
    [120, 0, 0],
    [126, 0, 0],
    [126.1, 0, 60],
  ])("has %d V for %d s below and %d s above", (loadL1V, belowS, aboveS) => {
    const frame = frameOf(steady(6, 10, { loadL1V }));
    const sums = createLegVoltageSums();
    addLegVoltage(frame, sums, RATINGS, 0, frame.sourced);
    expect(legVoltageOf(sums)?.l1).toMatchObject({ belowS, aboveS, heldS: 60 });
  });
});
