import type { LineSeriesOption } from "echarts/charts";
import { describe, expect, it } from "vitest";
import { legVoltagesOption } from "../../../../app/_charts/leg-voltages";
import { renderSvg } from "../../../../app/_charts/render-svg";
import type { VoltageBin } from "../../../../src/analysis/leg-figures";

const RANGE = { lowV: 114, highV: 126 };
const bin = (volts: number, share: number): VoltageBin => ({ volts, share });

function picture(l1: VoltageBin[], l2: VoltageBin[]) {
  const option = legVoltagesOption({ binV: 0.5, l1, l2 }, RANGE, false);
  return {
    option,
    x: option.xAxis as { min: number; max: number },
    series: option.series as LineSeriesOption[],
  };
}

describe("the picture of the legs' voltages", () => {
  it("draws no curve of a leg without voltage, and the service range all the same", () => {
    const { series, option } = picture([], [bin(120, 1)]);
    expect(series.find(({ name }) => name === "L1")?.data).toEqual([]);
    expect(series.find(({ name }) => name === "service range")?.markLine?.data).toEqual([
      { xAxis: 114 },
      { xAxis: 126 },
    ]);
    const svg = renderSvg(option, 880, 300);
    for (const text of ["114 V", "126 V", "% of the leg"]) expect(svg).toContain(text);
  });

  it("draws each bin over its whole width, from nothing and back to nothing", () => {
    const { series } = picture([bin(119.5, 0.25), bin(120, 0.75)], []);
    expect(series[0].data).toEqual([
      [119.25, 0],
      [119.25, 25],
      [119.75, 75],
      [120.25, 75],
      [120.25, 0],
    ]);
  });

  it("has the service range in it, and what lies beyond it, but not a dead leg", () => {
    expect(picture([bin(120, 1)], []).x).toMatchObject({ min: 112, max: 128 });
    expect(picture([bin(110, 0.5), bin(131, 0.5)], []).x).toMatchObject({ min: 108, max: 132 });
    expect(picture([bin(0, 0.5), bin(120, 0.5)], []).x.min).toBe(112);
  });

  it("tells the legs apart without colour", () => {
    const { series } = picture([bin(120, 1)], [bin(121, 1)]);
    const dash = (name: string) => series.find((one) => one.name === name)?.lineStyle?.type;
    expect(dash("L1")).not.toEqual(dash("L2"));
  });
});
