import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { Source } from "../../src/analysis/series";
import { localTime } from "../_format/local-time";
import { formatNumber } from "../_format/number";
import { formatKw } from "../_format/power";
import { SOURCE_WORDS } from "../_format/words";
import { AXIS, PAINT, TEXT } from "./paint";
import type { Points, TransferStretch } from "./transfer-stretch";

/** What is drawn into the stretch beside its samples. */
export type TransferMarks = {
  atMs: number;
  returnedAtMs: number | null;
  legLimitW: number;
  totalLimitW: number;
};

/** Heights of the picture's parts in px, from the top. */
const BAND = { top: 22, height: 20 };
const LEGS = { top: 58, height: 290 };
const BATTERY = { top: 388, height: 120 };

/** Height of the picture in px. */
export function aroundTransferHeight(stretch: TransferStretch): number {
  return (hasBattery(stretch) ? BATTERY.top + BATTERY.height : LEGS.top + LEGS.height) + 30;
}

/**
 * The minutes around a transfer: what carried the loads, as a band; L1 upwards and L2 downwards from the
 * same zero, so that imbalance shows as asymmetry, each with its rating; under it battery current and charge.
 */
export function aroundTransferOption(
  stretch: TransferStretch,
  marks: TransferMarks,
  narrow: boolean,
): EChartsOption {
  const { fromMs, toMs, timezone, l1W, l2W, loadW, batteryA, socPct } = stretch;
  const seconds = toMs - fromMs <= 5 * 60_000;
  const clock = (ms: number) => {
    const at = localTime(ms, timezone);
    return seconds ? at.clockWithSeconds : at.clock;
  };
  const left = narrow ? 44 : 56;
  const right = narrow ? 40 : 56;
  const side = { left, right };
  const limitW = loadW === null ? marks.legLimitW : marks.totalLimitW;
  const stepW = limitW / 2;
  const upTo = (powerW: number) => Math.ceil((powerW * 1.05) / stepW) * stepW;
  const topW = upTo(Math.max(limitW * 1.1, greatest(l1W), greatest(l2W), greatest(loadW)));
  const bottomW = loadW === null ? -topW : -upTo(greatest(negated(loadW)));
  const axis = (gridIndex: number, labels: boolean) =>
    ({
      type: "time",
      gridIndex,
      min: fromMs,
      max: toMs,
      ...AXIS,
      axisLine: { show: labels, lineStyle: { color: PAINT.rule } },
      axisTick: { show: labels, lineStyle: { color: PAINT.rule } },
      axisLabel: { ...TEXT, show: labels, formatter: clock, hideOverlap: true },
      splitNumber: narrow ? (seconds ? 2 : 3) : seconds ? 5 : 8,
      splitLine: { show: false },
    }) as const;

  const event = (gridIndex: number) => ({
    silent: true,
    symbol: "none",
    animation: false,
    label: { show: false },
    lineStyle: { color: PAINT.alert, width: 1.5, type: "solid" as const },
    data: [
      {
        xAxis: marks.atMs,
        label: {
          show: gridIndex === 0,
          position: "end" as const,
          formatter: `transfer ${localTime(marks.atMs, timezone).clockWithSeconds}`,
          ...TEXT,
          color: PAINT.alert,
          fontWeight: "bold" as const,
        },
      },
      ...(marks.returnedAtMs !== null && marks.returnedAtMs < toMs
        ? [
            {
              xAxis: marks.returnedAtMs,
              lineStyle: { color: PAINT.ink, width: 1, type: [2, 3] },
              label: {
                show:
                  gridIndex === 0 && marks.returnedAtMs - marks.atMs > (toMs - fromMs) / (narrow ? 2.2 : 6),
                position: "end" as const,
                formatter: "return",
                ...TEXT,
              },
            },
          ]
        : []),
    ],
  });

  const series: SeriesOption[] = [
    {
      type: "line",
      name: "band",
      xAxisIndex: 0,
      yAxisIndex: 0,
      data: [],
      markLine: event(0),
      markArea: {
        silent: true,
        animation: false,
        data: (stretch.sources ?? []).map((run) => [
          {
            xAxis: Math.max(run.fromMs, fromMs),
            itemStyle: sourceStyle(run.source),
            label: {
              show: run.toMs - run.fromMs > (toMs - fromMs) * (narrow ? 0.3 : 0.1),
              position: "inside",
              formatter: SOURCE_WORDS[run.source],
              ...TEXT,
              color: PAINT.ink,
            },
          },
          { xAxis: Math.min(run.toMs, toMs) },
        ]),
      },
    },
    ...(loadW === null
      ? [
          leg("L1", l1W ?? [], PAINT.l1, "solid", limitW, narrow),
          leg("L2", negated(l2W ?? []), PAINT.l2, [5, 2], -limitW, narrow),
        ]
      : [leg("Load", loadW, PAINT.ink, "solid", limitW, narrow)]),
    { type: "line", name: "event", xAxisIndex: 1, yAxisIndex: 1, data: [], markLine: event(1) },
  ];
  if (hasBattery(stretch)) {
    series.push(
      {
        type: "line",
        name: "Battery current",
        xAxisIndex: 2,
        yAxisIndex: 2,
        step: "end",
        symbol: "none",
        silent: true,
        emphasis: { disabled: true },
        lineStyle: { color: PAINT.battery, width: 1.75 },
        itemStyle: { color: PAINT.battery },
        data: batteryA ?? [],
        markLine: event(2),
      },
      {
        type: "line",
        name: "State of charge",
        xAxisIndex: 2,
        yAxisIndex: 3,
        symbol: "none",
        silent: true,
        emphasis: { disabled: true },
        lineStyle: { color: PAINT.inkSoft, width: 1.25, type: [1, 3] },
        itemStyle: { color: PAINT.inkSoft },
        data: socPct ?? [],
      },
    );
  }
  const [leastSoc, greatestSoc] = extent(socPct);
  // Even bounds, so that the middle is a whole figure too.
  const socFrom = Math.max(0, 2 * Math.floor((leastSoc - 1) / 2));
  const socTo = Math.max(socFrom + 2, 2 * Math.ceil(greatestSoc / 2));
  return {
    animation: false,
    textStyle: TEXT,
    grid: [
      { ...side, ...BAND },
      { ...side, ...LEGS },
      ...(hasBattery(stretch) ? [{ ...side, ...BATTERY }] : []),
    ],
    xAxis: [
      { ...axis(0, false), axisLine: { show: false } },
      { ...axis(1, !hasBattery(stretch)), axisLine: { show: false, onZero: false } },
      ...(hasBattery(stretch)
        ? [{ ...axis(2, true), axisLine: { onZero: false, lineStyle: { color: PAINT.rule } } }]
        : []),
    ],
    yAxis: [
      { type: "value", gridIndex: 0, show: false, min: 0, max: 1 },
      {
        type: "value",
        gridIndex: 1,
        min: bottomW,
        max: topW,
        name: "kW",
        ...AXIS,
        axisLine: { show: false },
        axisTick: { show: false },
        nameGap: 6,
        nameTextStyle: { ...TEXT, align: "right" },
        interval: stepW,
        axisLabel: {
          ...TEXT,
          formatter: (powerW: number) => formatNumber(Math.abs(powerW) / 1000, 1),
        },
      },
      ...(hasBattery(stretch)
        ? ([
            {
              type: "value",
              gridIndex: 2,
              name: "A out",
              ...AXIS,
              axisLine: { show: false },
              nameTextStyle: { ...TEXT, align: "right" },
              nameGap: 8,
              splitNumber: 3,
            },
            {
              type: "value",
              gridIndex: 2,
              show: socPct !== null,
              name: "SOC %",
              ...AXIS,
              position: "right",
              axisLine: { show: false },
              nameTextStyle: { ...TEXT, align: "left" },
              nameGap: 8,
              splitLine: { show: false },
              min: socFrom,
              max: socTo,
              interval: (socTo - socFrom) / 2,
            },
          ] as const)
        : []),
    ],
    series,
  };
}

function leg(
  name: string,
  data: Points,
  colour: string,
  dash: "solid" | number[],
  limitW: number,
  narrow: boolean,
): SeriesOption {
  return {
    type: "line",
    name,
    xAxisIndex: 1,
    yAxisIndex: 1,
    step: "end",
    symbol: "none",
    silent: true,
    emphasis: { disabled: true },
    lineStyle: { color: colour, width: 1.75, type: dash },
    itemStyle: { color: colour },
    areaStyle: { color: colour, opacity: 0.16, origin: 0 },
    data,
    markLine: {
      silent: true,
      symbol: "none",
      animation: false,
      lineStyle: { color: PAINT.ink, width: 1.25, type: [7, 3] },
      label: {
        position: limitW > 0 ? "insideStartTop" : "insideStartBottom",
        ...TEXT,
        color: PAINT.ink,
        formatter: narrow
          ? `${name} ${formatKw(Math.abs(limitW))}`
          : `${name} rating ${formatKw(Math.abs(limitW))}`,
      },
      data: [
        { yAxis: limitW },
        { yAxis: 0, label: { show: false }, lineStyle: { color: PAINT.rule, width: 1, type: "solid" } },
      ],
    },
  };
}

function sourceStyle(source: Source) {
  switch (source) {
    case "inverter":
      return { color: PAINT.sunk, borderColor: PAINT.rule, borderWidth: 1 };
    case "utility":
      return { color: PAINT.grid, opacity: 0.45 };
    case "generator":
      return { color: PAINT.generator, opacity: 0.6 };
    case "none":
      return { color: PAINT.alert, opacity: 0.5 };
    case "unknown":
      return { color: PAINT.hairline, opacity: 0.5 };
  }
}

function hasBattery({ batteryA, socPct }: TransferStretch): boolean {
  return batteryA !== null || socPct !== null;
}

function negated(points: Points): Points {
  return points.map(([atMs, value]) => [atMs, value === null ? null : -value]);
}

function greatest(points: Points | null): number {
  return points === null ? 0 : Math.max(0, extent(points)[1]);
}

function extent(points: Points | null): [number, number] {
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const [, value] of points ?? []) {
    if (value === null) continue;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return least > most ? [0, 0] : [least, most];
}
