import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { LoadDuration } from "../../src/analysis/load-duration";
import { formatNumber } from "../_format/number";
import { formatKw } from "../_format/power";
import { AXIS, PAINT, TEXT } from "./paint";

/** The fullest part of the time, which is drawn: a rating is reached there or nowhere. The file has all of it. */
const FULLEST_SHARE = 0.1;

/** Heights of the picture in px, side by side and one over the other. */
export const BOTH_HEIGHT = { wide: 300, narrow: 720 } as const;

/** Ratings that are drawn in, W. */
export type BothLimits = { readonly legLimitW: number; readonly totalLimitW: number };

/**
 * Load-duration curves of two periods: a panel each for L1, L2 and both together, the legs on one axis of power. The earlier
 * period is dotted, the later one solid; drawn in is the rating that was in force in the later one.
 */
export function loadDurationOfBothOption(
  before: LoadDuration | null,
  after: LoadDuration | null,
  limits: BothLimits,
  narrow: boolean,
): EChartsOption {
  const panels = [
    { name: "L1", key: "l1", colour: PAINT.l1, limitW: limits.legLimitW },
    { name: "L2", key: "l2", colour: PAINT.l2, limitW: limits.legLimitW },
    { name: "Total", key: "total", colour: PAINT.ink, limitW: limits.totalLimitW },
  ] as const;
  const shown = panels.filter(({ key }) => (before?.[key] ?? after?.[key] ?? null) !== null);
  const axisOf = (keys: readonly ("l1" | "l2" | "total")[]) => {
    const greatestW = Math.max(
      ...panels
        .filter(({ key }) => keys.includes(key))
        .flatMap(({ key, limitW }) => [
          limitW,
          before?.[key]?.exceededW[0] ?? 0,
          after?.[key]?.exceededW[0] ?? 0,
        ]),
    );
    const stepW = greatestW > 15_000 ? 5000 : greatestW >= 6000 ? 2000 : 1000;
    return { max: Math.ceil((greatestW * 1.04) / stepW) * stepW, interval: stepW };
  };
  const axes = { l1: axisOf(["l1", "l2"]), l2: axisOf(["l1", "l2"]), total: axisOf(["total"]) };
  const curve = (
    of: LoadDuration | null,
    { key, colour }: (typeof panels)[number],
    panel: number,
    dash: "solid" | number[],
    name: string,
  ): SeriesOption[] => {
    const found = of?.[key] ?? null;
    if (of === null || found === null) return [];
    return [
      {
        type: "line",
        name,
        xAxisIndex: panel,
        yAxisIndex: panel,
        symbol: "none",
        silent: true,
        emphasis: { disabled: true },
        lineStyle: { color: colour, width: 2, type: dash },
        data: of.shares.flatMap((share, at) =>
          share <= FULLEST_SHARE ? [[share * 100, found.exceededW[at]]] : [],
        ),
      },
    ];
  };
  return {
    animation: false,
    textStyle: TEXT,
    grid: shown.map((_, panel) =>
      narrow
        ? { left: 40, right: 14, top: 26 + 236 * panel, height: 168 }
        : { left: 48 + (832 / shown.length) * panel, width: 832 / shown.length - 64, top: 30, bottom: 50 },
    ),
    xAxis: shown.map((_, gridIndex) => ({
      type: "value" as const,
      gridIndex,
      min: 0,
      max: FULLEST_SHARE * 100,
      name: "the fullest 10 % of the time",
      nameLocation: "middle" as const,
      nameGap: 26,
      ...AXIS,
      axisLine: { onZero: false, lineStyle: { color: PAINT.rule } },
      axisLabel: { ...TEXT, formatter: (percent: number) => `${formatNumber(percent)} %` },
      splitLine: { show: false },
    })),
    yAxis: shown.map(({ name, key }, gridIndex) => ({
      type: "value" as const,
      gridIndex,
      min: 0,
      ...axes[key],
      name: `${name}, kW`,
      nameGap: 8,
      ...AXIS,
      nameTextStyle: { ...TEXT, color: PAINT.ink, align: "left" as const, padding: [0, 0, 0, -24] },
      axisLine: { show: false },
      axisTick: { show: false },
      axisLabel: { ...TEXT, formatter: (powerW: number) => formatNumber(powerW / 1000) },
    })),
    series: shown.flatMap((panel, at) => [
      ...curve(before, panel, at, [1, 3], "before"),
      ...curve(after, panel, at, "solid", "after"),
      {
        type: "line" as const,
        name: "rating",
        xAxisIndex: at,
        yAxisIndex: at,
        data: [],
        silent: true,
        markLine: {
          silent: true,
          symbol: "none",
          animation: false,
          lineStyle: { color: PAINT.ink, width: 1.25, type: [7, 3] },
          label: {
            position: "insideEndTop" as const,
            ...TEXT,
            color: PAINT.ink,
            formatter: `rating ${formatKw(panel.limitW)}`,
          },
          data: [{ yAxis: panel.limitW }],
        },
      },
    ]),
  };
}
