import { describe, expect, it } from "vitest";
import { aroundTransferHeight, aroundTransferOption } from "../../../../app/_charts/around-transfer";
import { renderSvg } from "../../../../app/_charts/render-svg";
import { transferStretch } from "../../../../app/_charts/transfer-stretch";
import { type Series, SOURCE_CODE } from "../../../../src/analysis/series";

const T0 = Date.parse("2026-05-15T00:00:00Z");

function series(times: number[], columns: Record<string, number[]>, sources: number[] | null = null): Series {
  return {
    timesMs: Float64Array.from(times, (s) => T0 + s * 1000),
    channels: Object.fromEntries(
      Object.entries(columns).map(([name, values]) => [name, Float32Array.from(values)]),
    ),
    sources: sources === null ? null : Uint8Array.from(sources),
    faults: null,
  };
}

const window = { fromMs: T0, toMs: T0 + 60_000, timezone: "America/Denver" };
const marks = { atMs: T0 + 20_000, returnedAtMs: null, legLimitW: 4000, totalLimitW: 8000 };

describe("transferStretch", () => {
  it("breaks a line at a gap, after the hold of the sample before it", () => {
    const { l1W } = transferStretch(series([0, 10, 50, 60], { loadL1W: [1, 2, 3, 4] }), 10_000, window);
    expect(l1W).toEqual([
      [T0, 1],
      [T0 + 10_000, 2],
      [T0 + 20_000, 2],
      [T0 + 20_001, null],
      [T0 + 50_000, 3],
      [T0 + 60_000, 4],
      [T0 + 70_000, 4],
    ]);
  });

  it("breaks a line where a value is missing, and has none for a channel that is absent or empty", () => {
    const stretch = transferStretch(
      series([0, 10, 20], { loadL1W: [1, Number.NaN, 3], loadL2W: [Number.NaN, Number.NaN, Number.NaN] }),
      10_000,
      window,
    );
    expect(stretch.l1W?.map(([, value]) => value)).toEqual([1, null, 3, 3]);
    expect(stretch.l2W).toBeNull();
    expect(stretch.batteryA).toBeNull();
  });

  it("joins equal sources to one stretch and leaves a gap open", () => {
    const { inverter, utility } = SOURCE_CODE;
    const { sources } = transferStretch(
      series([0, 10, 20, 70], { loadL1W: [1, 1, 1, 1] }, [inverter, inverter, utility, utility]),
      10_000,
      window,
    );
    expect(sources).toEqual([
      { fromMs: T0, toMs: T0 + 20_000, source: "inverter" },
      { fromMs: T0 + 20_000, toMs: T0 + 30_000, source: "utility" },
      { fromMs: T0 + 70_000, toMs: T0 + 80_000, source: "utility" },
    ]);
  });

  it("falls back on the total where the log has no legs", () => {
    const stretch = transferStretch(series([0, 10], { loadW: [5000, 6000] }), 10_000, window);
    expect(stretch.l1W).toBeNull();
    expect(stretch.loadW?.length).toBe(3);
  });
});

describe("aroundTransferOption", () => {
  const stretch = transferStretch(
    series(
      [0, 10, 20, 30],
      { loadL1W: [3500, 4640, 3900, 1000], loadL2W: [500, 600, 700, 800], batteryA: [80, 100, 0, 0] },
      [1, 1, 2, 2],
    ),
    10_000,
    window,
  );
  const option = aroundTransferOption(stretch, marks, false) as unknown as {
    series: {
      name: string;
      data: [number, number][];
      markLine?: { data: { yAxis?: number; xAxis?: number }[] };
    }[];
    yAxis: { min: number; max: number }[];
  };
  const named = (name: string) => option.series.find((one) => one.name === name)!;

  it("draws L1 upwards and L2 downwards about the same zero", () => {
    expect(named("L1").data[1][1]).toBe(4640);
    expect(named("L2").data[1][1]).toBe(-600);
    expect(option.yAxis[1].min).toBe(-option.yAxis[1].max);
  });

  it("leaves room above the greatest load and above the rating", () => {
    expect(option.yAxis[1].max).toBeGreaterThan(4640);
    expect(option.yAxis[1].max).toBeGreaterThan(4000);
  });

  it("draws the rating on both sides and marks the transfer in every part", () => {
    expect(named("L1").markLine?.data[0].yAxis).toBe(4000);
    expect(named("L2").markLine?.data[0].yAxis).toBe(-4000);
    for (const name of ["band", "event", "Battery current"]) {
      expect(named(name).markLine?.data[0].xAxis).toBe(marks.atMs);
    }
  });

  it("is drawn as SVG that takes its colours and type from the page", () => {
    const svg = renderSvg(aroundTransferOption(stretch, marks, false), 900, aroundTransferHeight(stretch));
    expect(svg).toContain("var(--l1)");
    expect(svg).toContain("var(--l2)");
    expect(svg).toContain("On utility");
    expect(svg).toContain("transfer 18:00:20");
    expect(svg).not.toContain("<style");
    expect(svg).not.toMatch(/NaN|undefined/);
  });
});
