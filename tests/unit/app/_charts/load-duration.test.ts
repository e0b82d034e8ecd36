import type { LineSeriesOption } from "echarts/charts";
import { describe, expect, it } from "vitest";
import { loadDurationOption } from "../../../../app/_charts/load-duration";
import { renderSvg } from "../../../../app/_charts/render-svg";
import type { DurationCurve, LoadDuration } from "../../../../src/analysis/load-duration";

const SHARES = [0, 0.01, 0.05, 0.1, 0.5, 1];
const LIMITS = { legLimitW: 4000, totalLimitW: 8000 };

function curve(...exceededW: number[]): DurationCurve {
  return { heldS: 86_400, exceededW };
}

function curves(parts: Partial<LoadDuration>): LoadDuration {
  return { shares: SHARES, binW: 10, total: null, l1: null, l2: null, ...parts };
}

const THREE = curves({
  total: curve(6000, 5500, 5000, 3000, 1000, 300),
  l1: curve(4300, 4100, 3900, 2000, 600, 200),
  l2: curve(2500, 2000, 1500, 1000, 400, 100),
});

function seriesOf(of: LoadDuration, narrow = false): LineSeriesOption[] {
  return loadDurationOption(of, LIMITS, narrow).series as LineSeriesOption[];
}

function axesOf(of: LoadDuration) {
  const option = loadDurationOption(of, LIMITS, false);
  return {
    x: option.xAxis as { min: number; max: number; name: string }[],
    y: option.yAxis as typeof option.xAxis & { min: number; max: number; interval: number }[],
  };
}

describe("the picture of load-duration curves", () => {
  it("draws nothing of a log without a load, and doesn't fail", () => {
    expect(seriesOf(curves({}))).toEqual([]);
    expect(renderSvg(loadDurationOption(curves({}), LIMITS, true), 350, 560)).toContain("<svg");
  });

  it("draws the total alone where the legs aren't in the log, with its own rating", () => {
    const series = seriesOf(curves({ total: THREE.total }));
    expect(series.map(({ name }) => name)).toEqual(["Total", "rating in all", "Total", "rating in all"]);
  });

  it("draws each quantity twice: the fullest twentieth of the time stretched, and all of it", () => {
    const l1 = seriesOf(THREE).filter(({ name }) => name === "L1");
    expect(l1.map(({ data }) => data)).toEqual([
      [
        [0, 4300],
        [1, 4100],
        [5, 3900],
      ],
      [
        [0, 4300],
        [1, 4100],
        [5, 3900],
        [10, 2000],
        [50, 600],
        [100, 200],
      ],
    ]);
  });

  it("has the ratings in it, and room above the greatest load, from the least upwards", () => {
    const ratings = seriesOf(THREE).flatMap(({ name, markLine }) =>
      markLine === undefined ? [] : [[name, markLine.data]],
    );
    expect(ratings.slice(0, 2)).toEqual([
      ["a leg’s rating", [{ yAxis: 4000 }]],
      ["rating in all", [{ yAxis: 8000 }]],
    ]);
    const { x, y } = axesOf(curves({ total: curve(9000, 500, 400, 300, 0, -350) }));
    expect(y[0].max).toBeGreaterThan(9000);
    expect(y[0].min).toBeLessThanOrEqual(-350);
    expect(y[0].interval).toBe(2000);
    expect(x.map(({ max }) => max)).toEqual([5, 100]);
  });

  it("tells the curves apart without colour", () => {
    const dashes = seriesOf(THREE)
      .slice(0, 3)
      .map(({ lineStyle }) => JSON.stringify(lineStyle?.type));
    expect(new Set(dashes).size).toBe(3);
  });

  it("names its axes, on a wide and on a narrow place", () => {
    for (const [narrow, width] of [
      [false, 880],
      [true, 350],
    ] as const) {
      const svg = renderSvg(loadDurationOption(THREE, LIMITS, narrow), width, 560);
      expect(svg).toContain("kW");
      expect(svg).toContain("all of the time logged");
      expect(svg).toContain("rating in all");
    }
  });
});
