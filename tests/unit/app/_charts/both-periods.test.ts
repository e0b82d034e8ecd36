import type { BarSeriesOption, LineSeriesOption } from "echarts/charts";
import { describe, expect, it } from "vitest";
import { causesOfBothHeight, causesOfBothOption } from "../../../../app/_charts/causes-of-both";
import { BOTH_HEIGHT, loadDurationOfBothOption } from "../../../../app/_charts/load-duration-of-both";
import { renderSvg } from "../../../../app/_charts/render-svg";
import type { DurationCurve, LoadDuration } from "../../../../src/analysis/load-duration";

const LIMITS = { legLimitW: 4000, totalLimitW: 8000 };
const NAMES = { before: "April 2026", after: "May 2026" };

function curve(...exceededW: number[]): DurationCurve {
  return { heldS: 86_400, exceededW };
}

function curves(parts: Partial<LoadDuration>): LoadDuration {
  return { shares: [0, 0.05, 0.1, 0.5], binW: 10, total: null, l1: null, l2: null, ...parts };
}

const LEGS = curves({
  l1: curve(4300, 4100, 3900, 100),
  l2: curve(2500, 2000, 1500, 100),
  total: curve(6000, 5500, 5000, 200),
});

describe("load-duration curves of two periods", () => {
  const lines = (before: LoadDuration | null, after: LoadDuration | null) =>
    (loadDurationOfBothOption(before, after, LIMITS, false).series as LineSeriesOption[]).filter(
      ({ name }) => name !== "rating",
    );

  it("has a panel for each quantity, with both periods in it, the greatest load first", () => {
    const found = lines(LEGS, LEGS);
    expect(found).toHaveLength(6);
    expect(found.map(({ xAxisIndex }) => xAxisIndex)).toEqual([0, 0, 1, 1, 2, 2]);
    expect(found[0].data).toEqual([
      [0, 4300],
      [5, 4100],
      [10, 3900],
    ]);
  });

  it("tells the periods apart by their line, not by colour", () => {
    const [before, after] = lines(LEGS, LEGS);
    expect(before.lineStyle?.type).not.toBe(after.lineStyle?.type);
  });

  it("has one axis for the legs, on which no load and no rating is cut off", () => {
    const { yAxis } = loadDurationOfBothOption(LEGS, LEGS, LIMITS, false);
    const axes = yAxis as { max: number }[];
    expect(axes[0].max).toBe(axes[1].max);
    expect(axes[0].max).toBeGreaterThanOrEqual(4300);
    expect(axes[2].max).toBeGreaterThanOrEqual(8000);
  });

  it("draws what a log without legs has, and one period where the other has nothing", () => {
    const total = curves({ total: curve(6000, 5500, 5000, 200) });
    expect(lines(total, null).map(({ name }) => name)).toEqual(["before"]);
    expect(lines(null, null)).toEqual([]);
    for (const narrow of [false, true]) {
      const height = narrow ? BOTH_HEIGHT.narrow : BOTH_HEIGHT.wide;
      expect(renderSvg(loadDurationOfBothOption(null, total, LIMITS, narrow), 350, height)).toContain("kW");
      expect(renderSvg(loadDurationOfBothOption(null, null, LIMITS, narrow), 350, height)).toContain("<svg");
    }
  });
});

describe("transfers by cause of two periods", () => {
  const causes = [
    { title: "Overload", before: 0.5, after: 0.25 },
    { title: "Fault", before: null, after: 0.1 },
  ];

  it("has a pair of bars a cause, one hollow and one filled", () => {
    const [before, after] = causesOfBothOption(causes, NAMES, false).series as BarSeriesOption[];
    expect(before.data).toEqual([0.5, null]);
    expect(after.data).toEqual([0.25, 0.1]);
    expect(before.itemStyle?.color).not.toBe(after.itemStyle?.color);
  });

  it("writes each figure beside its bar", () => {
    const svg = renderSvg(causesOfBothOption(causes, NAMES, true), 350, causesOfBothHeight(2));
    for (const text of ["Overload", "Fault", "0.50", "0.25", "0.10", "transfers a covered day"])
      expect(svg).toContain(text);
  });
});
