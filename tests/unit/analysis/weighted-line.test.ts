import { describe, expect, it } from "vitest";
import { type LineSums, weightedLine } from "../../../src/analysis/weighted-line";

const NONE: LineSums = { n: 0, w: 0, wx: 0, wy: 0, wxx: 0, wxy: 0, wyy: 0 };

function sumsOf(points: readonly (readonly [x: number, y: number, w: number])[]): LineSums {
  const sums = { ...NONE };
  for (const [x, y, w] of points) {
    sums.n++;
    sums.w += w;
    sums.wx += w * x;
    sums.wy += w * y;
    sums.wxx += w * x * x;
    sums.wxy += w * x * y;
    sums.wyy += w * y * y;
  }
  return sums;
}

describe("weighted line", () => {
  it("is null without points, with two, or where x hardly changes", () => {
    expect(weightedLine(NONE, 1)).toBeNull();
    expect(
      weightedLine(
        sumsOf([
          [0, 1, 1],
          [9, 2, 1],
        ]),
        1,
      ),
    ).toBeNull();
    expect(
      weightedLine(
        sumsOf([
          [5, 1, 1],
          [5, 2, 1],
          [5, 3, 1],
        ]),
        1,
      ),
    ).toBeNull();
    expect(
      weightedLine(
        sumsOf([
          [5, 1, 1],
          [6, 2, 1],
          [5, 3, 1],
        ]),
        1,
      ),
    ).toBeNull();
    expect(
      weightedLine(
        sumsOf([
          [0, 1, 0],
          [9, 2, 0],
          [5, 3, 0],
        ]),
        1,
      ),
    ).toBeNull();
  });

  it("goes through points on a line, and has no share of what doesn't change", () => {
    const line = weightedLine(
      sumsOf([
        [0, 1, 1],
        [1, 3, 5],
        [2, 5, 1],
      ]),
      0.1,
    );
    expect(line).toMatchObject({ slope: 2, intercept: 1, r2: 1, n: 3 });
    expect(
      weightedLine(
        sumsOf([
          [0, 7, 1],
          [1, 7, 1],
          [2, 7, 1],
        ]),
        0.1,
      ),
    ).toMatchObject({
      slope: 0,
      intercept: 7,
      r2: null,
    });
  });

  it("doesn't change with a common factor of the weights", () => {
    const points = [
      [0, 1, 1],
      [1, 2, 2],
      [2, 5, 1],
      [3, 4, 3],
    ] as const;
    const once = weightedLine(sumsOf(points), 0.1);
    const tenfold = weightedLine(sumsOf(points.map(([x, y, w]) => [x, y, 10 * w] as const)), 0.1);
    for (const key of ["slope", "intercept", "slopeSe", "interceptSe", "residual"] as const) {
      expect(tenfold?.[key]).toBeCloseTo(once?.[key] ?? Number.NaN, 10);
    }
  });

  it("wants a spread above 0", () => {
    expect(() => weightedLine(NONE, 0)).toThrow("weightedLine requires a positive minSpreadX, got 0");
  });
});
