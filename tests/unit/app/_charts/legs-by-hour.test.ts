import type { BarSeriesOption } from "echarts/charts";
import { describe, expect, it } from "vitest";
import { legsByHourOption } from "../../../../app/_charts/legs-by-hour";
import { renderSvg } from "../../../../app/_charts/render-svg";
import type { LegHour } from "../../../../src/analysis/demand";

const hours = (l1W: (hour: number) => number | null, l2W: (hour: number) => number | null): LegHour[] =>
  Array.from({ length: 24 }, (_, hour) => ({ hour, l1W: l1W(hour), l1HeldS: 1, l2W: l2W(hour), l2HeldS: 1 }));

describe("the picture of the legs by hour", () => {
  it("draws nothing of hours that aren't known, and doesn't fail", () => {
    const none = hours(
      () => null,
      () => null,
    );
    expect(renderSvg(legsByHourOption(none, true), 350, 260)).toContain("<svg");
    const [l1, l2] = legsByHourOption(none, false).series as BarSeriesOption[];
    expect([...(l1.data ?? []), ...(l2.data ?? [])].every((value) => value === null)).toBe(true);
  });

  it("stands L1 up and hangs L2 down, with as much room on both sides", () => {
    const option = legsByHourOption(
      hours(
        (hour) => 100 * hour,
        () => 400,
      ),
      false,
    );
    const [l1, l2] = option.series as BarSeriesOption[];
    expect(l1.data?.[23]).toBe(2300);
    expect(l2.data?.[23]).toBe(-400);
    const { min, max } = option.yAxis as { min: number; max: number };
    expect(min).toBe(-max);
    expect(max).toBeGreaterThanOrEqual(2300);
  });

  it("tells the legs apart without colour, and names its axes", () => {
    const option = legsByHourOption(
      hours(
        () => 900,
        () => 400,
      ),
      false,
    );
    const [l1, l2] = option.series as BarSeriesOption[];
    expect(l1.itemStyle?.decal).not.toEqual(l2.itemStyle?.decal);
    const svg = renderSvg(option, 880, 300);
    for (const text of ["kW, in the mean", "hour of the day at the site", ">23<"])
      expect(svg).toContain(text);
  });
});
