import type { LineSeriesOption } from "echarts/charts";
import { describe, expect, it } from "vitest";
import { currentDurationOption } from "../../../../app/_charts/current-duration";
import { dcAgainstAcOption } from "../../../../app/_charts/dc-against-ac";
import { renderSvg } from "../../../../app/_charts/render-svg";
import { socByHourOption } from "../../../../app/_charts/soc-by-hour";
import { currentDuration } from "../../../../src/analysis/current-duration";

const lines = (option: { series?: unknown }) => option.series as LineSeriesOption[];

describe("the drawing of battery current", () => {
  const bins = [
    { amps: -110, heldS: 60 },
    { amps: -5, heldS: 3600 },
    { amps: 40, heldS: 7200 },
    { amps: 187, heldS: 0.4 },
    { amps: 186, heldS: 30 },
  ];
  const limits = [
    { amps: 200, name: "may give" },
    { amps: 200, name: "80 % of the fuse" },
    { amps: 250, name: "fuse" },
  ];

  it("has a curve each way and every rating, those of one current on one line", () => {
    const option = currentDurationOption(currentDuration(bins, 1), limits, false);
    const [discharging, charging, ratings] = lines(option);
    expect((discharging.data as number[][]).at(-1)).toEqual([186, 30.4]);
    expect((charging.data as number[][])[0]).toEqual([0, 3660]);
    const svg = renderSvg(option, 880, 340);
    expect(svg).toContain("200 A: may give, 80 % of the fuse");
    expect(svg).toContain("250 A: fuse");
    expect(ratings.markLine?.data).toHaveLength(2);
    expect((option.xAxis as { max: number }).max).toBeGreaterThan(250);
  });

  it("is drawn of nothing, and without ratings", () => {
    expect(renderSvg(currentDurationOption([], [], true), 350, 280)).toContain("Battery current, A");
  });

  it("keeps to 2,000 points a curve where no battery goes further", () => {
    const many = Array.from({ length: 1500 }, (_, i) => ({ amps: i, heldS: 60 }));
    expect(lines(currentDurationOption(currentDuration(many, 1), [], false))[0].data?.length).toBe(1500);
  });
});

describe("the drawing of the state of charge", () => {
  const hour = { hour: 5, days: 3, leastPct: 20, greatestPct: 60, q1Pct: 30, medianPct: 40, q3Pct: 50 };

  it("leaves hours without one empty", () => {
    const [, band, least, , median] = lines(socByHourOption([hour], 20, false));
    expect(median.data?.filter((value) => value !== null)).toEqual([40]);
    expect((median.data as unknown[])[5]).toBe(40);
    expect((band.data as unknown[])[5]).toBe(20);
    expect((least.data as unknown[])[5]).toBe(20);
    expect(renderSvg(socByHourOption([hour], 20, false), 880, 300)).toContain("20 %: left here");
  });

  it("has no line where it isn't known when the battery is left", () => {
    expect(renderSvg(socByHourOption([hour], null, true), 350, 260)).not.toContain("left here");
  });
});

describe("the drawing of DC against AC power", () => {
  const points = [
    { acW: 500, dcW: 600, dcSdW: 700, heldS: 60 },
    { acW: 2000, dcW: 2200, dcSdW: 50, heldS: 60 },
  ];

  it("has the fitted line from no load to the greatest, and no bar below nothing", () => {
    const model = { idleW: 100, efficiency: 0.5 } as Parameters<typeof dcAgainstAcOption>[1];
    const [fitted, bars, means] = lines(dcAgainstAcOption(points, model, false));
    expect(fitted.data).toEqual([
      [0, 0.1],
      [2, 4.1],
    ]);
    expect((bars.data as unknown[][])[0]).toEqual([0.5, 0]);
    expect(means.data).toEqual([
      [0.5, 0.6],
      [2, 2.2],
    ]);
  });

  it("has no line without a model", () => {
    const option = dcAgainstAcOption(points, null, true);
    expect(lines(option)[0].data).toEqual([]);
    expect(renderSvg(option, 350, 280)).toContain("AC power to the loads, kW");
  });
});
