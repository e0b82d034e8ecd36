import { describe, expect, it } from "vitest";
import {
  closeContinuousLoad,
  createContinuousLoadState,
  findContinuousLoad,
} from "../../src/analysis/continuous-load";
import type { Ratings } from "../../src/analysis/ratings";
import { frameOf } from "../unit/analysis/frame-of";
import { RATINGS, steady } from "../unit/analysis/samples";

function found(seconds: number, amps: number, ratings: Ratings) {
  const grid = (gridL1A: number) => ({ gridL1A, gridL2A: 0, source: "utility" as const });
  const frame = frameOf([...steady(seconds, 1, grid(amps)), ...steady(60, 1, grid(0), seconds)], ratings);
  const state = createContinuousLoadState();
  findContinuousLoad(frame, state, ratings, 0, frame.sourced);
  closeContinuousLoad(state);
  return state.found;
}

/**
 * NEC Art. 100, continuous load: "maximum current expected to continue for 3 hours or more", so that 3 h counts;
 * 210.20(A): a device is rated for 125 % of it at least, so that 80 % of the rating is its limit, unless it is
 * listed for 100 %. After https://knowledgepulse.biz/continuous-load-nec-requirements-17025 and
 * https://kwhrmeter.blogspot.com/2013/05/nec-continuous-load-calculation-for.html; the limits are arithmetic.
 */
describe("continuous load by the NEC's definition", () => {
  const of100A = { ...RATINGS, serviceA: 100 };

  it("counts from exactly 3 h on, at a log of one second", () => {
    expect(found(10_800, 80, of100A)).toMatchObject([{ device: "service", durationS: 10_800, meanA: 80 }]);
    expect(found(10_799, 80, of100A)).toEqual([]);
  });

  it.each([
    [100, 80],
    [200, 160],
    [125, 100],
  ])("has for a device of %d A the limit of %d A", (serviceA, limitA) => {
    const ratings = { ...RATINGS, serviceA };
    expect(found(10_800, limitA, ratings)).toHaveLength(1);
    // The next float32 below: what a log can hold nearest under the limit.
    expect(found(10_800, Math.fround(limitA * (1 - 2 ** -24)), ratings)).toEqual([]);
  });

  it("leaves out what is listed for 100 %", () => {
    expect(found(10_800, 100, { ...of100A, hundredPercentRated: ["service"] })).toEqual([]);
  });
});
