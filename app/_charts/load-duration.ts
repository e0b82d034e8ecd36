import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { LoadDuration } from "../../src/analysis/load-duration";
import { formatNumber } from "../_format/number";
import { formatPercent } from "../_format/percent";
import { formatKw } from "../_format/power";
import { AXIS, PAINT, TEXT } from "./paint";

/** The fullest part of the time, which is drawn once more, stretched: a rating is reached there or nowhere. */
const FULLEST_SHARE = 0.05;

/** Heights of the picture in px, side by side and one over the other. */
export const LOAD_DURATION_HEIGHT = { wide: 320, narrow: 552 } as const;

/**
 * Load-duration curves of each leg and in all, with the ratings drawn in: the whole of the time logged, and the
 * fullest twentieth of it stretched, on the same axis of power. A quantity that isn't in the log has no curve, and
 * no rating either.
 *
 * @param limits Ratings in force, W.
 */
export function loadDurationOption(
  curves: LoadDuration,
  limits: { readonly legLimitW: number; readonly totalLimitW: number },
  narrow: boolean,
): EChartsOption {
  const legs = curves.l1 !== null || curves.l2 !== null;
  const greatestW = Math.max(
    legs ? limits.legLimitW : 0,
    curves.total === null ? 0 : limits.totalLimitW,
    ...[curves.l1, curves.l2, curves.total].map((curve) => curve?.exceededW[0] ?? 0),
  );
  const leastW = Math.min(
    0,
    ...[curves.l1, curves.l2, curves.total].map((curve) => curve?.exceededW.at(-1) ?? 0),
  );
  const stepW = stepOf(greatestW * 1.04);
  const grids = narrow
    ? [
        { left: 44, right: 14, top: 28, height: 200 },
        { left: 44, right: 14, top: 304, height: 200 },
      ]
    : [
        { left: 56, width: 300, top: 28, bottom: 54 },
        { left: 400, right: 20, top: 28, bottom: 54 },
      ];
  const parts = [
    { upTo: FULLEST_SHARE, name: `the fullest ${formatPercent(FULLEST_SHARE)} of the time logged` },
    { upTo: 1, name: "all of the time logged" },
  ];
  return {
    animation: false,
    textStyle: TEXT,
    grid: grids,
    xAxis: parts.map(({ upTo, name }, gridIndex) => ({
      type: "value" as const,
      gridIndex,
      min: 0,
      max: upTo * 100,
      interval: (upTo * 100) / 5,
      name,
      nameLocation: "middle" as const,
      nameGap: 28,
      ...AXIS,
      axisLine: { onZero: false, lineStyle: { color: PAINT.rule } },
      axisLabel: { ...TEXT, formatter: (percent: number) => `${formatNumber(percent)} %` },
      splitLine: { show: false },
    })),
    yAxis: parts.map((_, gridIndex) => ({
      type: "value" as const,
      gridIndex,
      min: Math.floor(leastW / stepW) * stepW,
      max: Math.ceil((greatestW * 1.04) / stepW) * stepW,
      interval: stepW,
      name: "kW",
      nameGap: 8,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "right" as const },
      axisLine: { show: false },
      axisTick: { show: false },
      axisLabel: {
        ...TEXT,
        formatter: (powerW: number) => formatNumber(powerW / 1000, stepW < 1000 ? 1 : 0),
      },
    })),
    series: parts.flatMap(({ upTo }, part) => [
      ...curve("Total", curves.total, PAINT.ink, [1, 3], part, upTo),
      ...curve("L1", curves.l1, PAINT.l1, "solid", part, upTo),
      ...curve("L2", curves.l2, PAINT.l2, [5, 2], part, upTo),
      ...(legs ? [rating("a leg’s rating", limits.legLimitW, part)] : []),
      ...(curves.total === null ? [] : [rating("rating in all", limits.totalLimitW, part)]),
    ]),
  };

  function curve(
    name: string,
    of: LoadDuration["total"],
    colour: string,
    dash: "solid" | number[],
    part: number,
    upTo: number,
  ): SeriesOption[] {
    if (of === null) return [];
    return [
      {
        type: "line",
        name,
        xAxisIndex: part,
        yAxisIndex: part,
        symbol: "none",
        silent: true,
        emphasis: { disabled: true },
        lineStyle: { color: colour, width: 2, type: dash },
        itemStyle: { color: colour },
        data: curves.shares.flatMap((share, at) => (share <= upTo ? [[share * 100, of.exceededW[at]]] : [])),
      },
    ];
  }

  function rating(name: string, limitW: number, part: number): SeriesOption {
    return {
      type: "line",
      name,
      xAxisIndex: part,
      yAxisIndex: part,
      data: [],
      silent: true,
      markLine: {
        silent: true,
        symbol: "none",
        animation: false,
        lineStyle: { color: PAINT.ink, width: 1.25, type: [7, 3] },
        label: {
          show: part === 1,
          position: "insideEndTop",
          ...TEXT,
          color: PAINT.ink,
          formatter: `${name} ${formatKw(limitW)}`,
        },
        data: [{ yAxis: limitW }],
      },
    };
  }
}

/** A round step that gives an axis four to eight parts, W. */
function stepOf(greatestW: number): number {
  const rough = Math.max(greatestW, 1) / 5;
  const size = 10 ** Math.floor(Math.log10(rough));
  return ([1, 2, 5].find((times) => times * size >= rough) ?? 10) * size;
}
