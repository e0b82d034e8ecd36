import { describe, expect, it } from "vitest";
import { loadAfterKnown, loadNeighbours } from "../../../src/analysis/load-neighbours";
import { frameOf } from "./frame-of";
import { type Sample, steady } from "./samples";

/** Rows of which `sampled` says whether the load has a sample of its own there. */
function rows(
  sampled: readonly (0 | 1 | 2)[],
  samples: readonly Sample[] = steady(sampled.length, 60, { loadW: 500 }),
) {
  const frame = frameOf(samples);
  frame.loadSampled.set(sampled);
  return frame;
}

describe("the load's samples next to a row", () => {
  it("are the rows before and after with one logger, and none at the ends", () => {
    const frame = rows([1, 1, 1]);
    expect(loadNeighbours(frame, 1)).toEqual({ before: 0, after: 2 });
    expect(loadNeighbours(frame, 0)).toEqual({ before: null, after: 1 });
    expect(loadNeighbours(frame, 2)).toEqual({ before: 1, after: null });
  });

  it("pass over rows at which only another logger has a sample", () => {
    expect(loadNeighbours(rows([1, 0, 0, 1, 0, 1, 1]), 3)).toEqual({ before: 0, after: 5 });
    expect(loadNeighbours(rows([0, 0, 1, 0]), 2)).toEqual({ before: null, after: null });
  });

  it("don't lie beyond a gap, nor beyond one of the load's own logger", () => {
    const gap = steady(5, 60, { loadW: 500 }).map((one, i) => ({ ...one, s: one.s + (i >= 2 ? 600 : 0) }));
    expect(loadNeighbours(rows([1, 1, 1, 1, 1], gap), 2)).toEqual({ before: null, after: 3 });
    expect(loadNeighbours(rows([1, 1, 1, 1, 1], gap), 1)).toEqual({ before: 0, after: null });
    // 2: the load's own logger has nothing in force there.
    expect(loadNeighbours(rows([1, 2, 1, 2, 1]), 2)).toEqual({ before: null, after: null });
  });

  it("are known to come once the next one, a gap or a hole is there", () => {
    const known = (sampled: readonly (0 | 1 | 2)[], sourced: number) => {
      const frame = rows(sampled);
      frame.sourced = sourced;
      return loadAfterKnown(frame, 0);
    };
    expect(known([1, 0, 1, 1], 1)).toBe(false);
    expect(known([1, 0, 1, 1], 2)).toBe(false);
    expect(known([1, 0, 1, 1], 3)).toBe(true);
    expect(known([1, 2, 1, 1], 2)).toBe(true);
    expect(known([1, 0, 0, 0], 4)).toBe(true);
  });
});
