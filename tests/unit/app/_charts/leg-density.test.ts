import type { CustomSeriesOption, LineSeriesOption } from "echarts/charts";
import { describe, expect, it } from "vitest";
import { DENSITY_STEPS, legDensityOption } from "../../../../app/_charts/leg-density";
import { renderSvg } from "../../../../app/_charts/render-svg";
import type { LegCell, LegDensity } from "../../../../src/analysis/leg-density";

const MARKS = { legLimitW: 4000, totalLimitW: 8000, nearLimit: 0.9 };

function densityOf(cells: readonly LegCell[], peakL1W = 1000, peakL2W = 500): LegDensity {
  const peak = (l1W: number, l2W: number) => ({ l1W, l2W, atMs: 0, source: "inverter" as const });
  const full = { heldS: 0, onInverterS: 0, otherHeadroomW: null };
  return {
    cellW: 50,
    heldS: 1,
    onInverterS: 1,
    cells: [...cells],
    peaks: { l1: peak(peakL1W, 100), l2: peak(100, peakL2W), both: peak(peakL1W, 100) },
    peaksOnInverter: null,
    full: { l1: full, l2: full },
  };
}

const cell = (l1W: number, l2W: number, heldS = 60, onInverterS = heldS): LegCell => ({
  l1W,
  l2W,
  heldS,
  onInverterS,
});

type Option = ReturnType<typeof legDensityOption>;
const named = (option: Option, name: string) =>
  (option.series as { name: string }[]).find((one) => one.name === name);
const squaresOf = (option: Option) => (named(option, "held time") as CustomSeriesOption).data as number[][];
const axisOf = (option: Option) => option.xAxis as { min: number; max: number };

describe("the picture of the legs' density", () => {
  it("has the same scale on both axes, and a square place", () => {
    const option = legDensityOption(densityOf([cell(0, 0)]), MARKS, false);
    const { min, max } = option.yAxis as { min: number; max: number };
    expect(axisOf(option)).toMatchObject({ min, max });
    const { width, height } = option.grid as { width: number; height: number };
    expect(width).toBe(height);
  });

  it("has the whole rating in it, however small the loads", () => {
    expect(axisOf(legDensityOption(densityOf([cell(0, 0)]), MARKS, true)).max).toBeGreaterThan(4000);
  });

  it("takes cells together to squares that can be told apart, and loses no time", () => {
    const cells = Array.from({ length: 80 }, (_, i) => cell(i * 50, 100));
    const wide = squaresOf(legDensityOption(densityOf(cells), MARKS, false));
    const narrow = squaresOf(legDensityOption(densityOf(cells), MARKS, true));
    expect([wide.length, narrow.length]).toEqual([40, 27]);
    for (const squares of [wide, narrow]) {
      expect(squares.reduce((sum, [, , heldS]) => sum + heldS, 0)).toBe(80 * 60);
    }
  });

  it("sends no more squares than a page can bear", () => {
    const cells = Array.from({ length: 40_000 }, (_, i) => cell((i % 200) * 50, Math.floor(i / 200) * 50));
    expect(
      squaresOf(legDensityOption(densityOf(cells, 10_000, 10_000), MARKS, false)).length,
    ).toBeLessThanOrEqual(1500);
  });

  it("marks each leg's greatest load, at the edge where it lies far beyond the rating", () => {
    const option = legDensityOption(densityOf([cell(0, 0), cell(90_000, 50)], 90_000, 3100), MARKS, false);
    expect(axisOf(option).max).toBe(10_000);
    const mark = (leg: string) => named(option, `greatest ${leg}`) as LineSeriesOption;
    expect(mark("L1").data).toEqual([[10_000, 100]]);
    expect(mark("L1").label?.formatter).toBe("greatest L1 90.0\u00a0kW");
    expect(mark("L2").data).toEqual([[100, 3100]]);
    expect(mark("L1").symbol).not.toBe(mark("L2").symbol);
  });

  it("draws the rating as a box, cut off where both legs together reach the rating in all", () => {
    const box = (totalLimitW: number) =>
      (
        named(
          legDensityOption(densityOf([cell(0, 0)]), { ...MARKS, totalLimitW }, false),
          "rating",
        ) as LineSeriesOption
      ).data;
    expect(box(8000)).toEqual([
      [0, 4000],
      [4000, 4000],
      [4000, 4000],
      [4000, 0],
    ]);
    expect(box(6000)).toEqual([
      [0, 4000],
      [2000, 4000],
      [4000, 2000],
      [4000, 0],
    ]);
  });

  it("has room below nothing where a source lies behind the meter, but keeps the box in sight", () => {
    expect(axisOf(legDensityOption(densityOf([cell(-350, 0)]), MARKS, false)).min).toBe(-1000);
    const { min, max } = axisOf(legDensityOption(densityOf([cell(-51_200, 0)]), MARKS, false));
    expect(-min).toBeLessThanOrEqual(max);
  });

  it("is the darker the longer loads were held, and hollow where the inverter never carried them", () => {
    const svg = (...cells: LegCell[]) =>
      renderSvg(legDensityOption(densityOf(cells), MARKS, false), 880, 600);
    const inks = DENSITY_STEPS.map(({ fromS }) => {
      const [, ink] =
        /d="M[^"]*Z" fill="var\(--ink\)"(?: fill-opacity="([\d.]+)")?/.exec(svg(cell(0, 0, fromS + 1))) ?? [];
      return ink === undefined ? 1 : Number(ink);
    });
    expect(inks).toEqual(DENSITY_STEPS.map(({ ink }) => ink));
    expect([...inks].sort((a, b) => a - b)).toEqual(inks);
    const hollow = svg(cell(0, 0, 60, 0));
    expect(hollow).toMatch(/d="M[^"]*Z" fill="none" stroke="var\(--ink\)"/);
  });

  it("names both axes and the rating", () => {
    for (const narrow of [false, true]) {
      const svg = renderSvg(
        legDensityOption(densityOf([cell(0, 0)]), MARKS, narrow),
        narrow ? 350 : 880,
        600,
      );
      for (const text of ["L1, kW", "L2, kW", "4.00\u00a0kW", "near the limit", "balance"])
        expect(svg).toContain(text);
    }
  });
});
