import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { VoltageBin, VoltageBins } from "../../src/analysis/leg-figures";
import { formatNumber } from "../_format/number";
import { AXIS, PAINT, TEXT } from "./paint";

/** Voltages further than this beyond the service range aren't drawn. */
const BEYOND_V = 8;

/**
 * How often each leg's voltage lies where, with the service range drawn in. What lies far outside of it, as a dead
 * leg does, would leave nothing to see of the rest: it is left to the table.
 *
 * @param range of a leg's voltage, V
 */
export function legVoltagesOption(
  { binV, l1, l2 }: VoltageBins,
  range: { readonly lowV: number; readonly highV: number },
  narrow: boolean,
): EChartsOption {
  const shown = (bins: readonly VoltageBin[]) =>
    bins.filter(({ volts }) => volts >= range.lowV - BEYOND_V && volts <= range.highV + BEYOND_V);
  const volts = [...shown(l1), ...shown(l2)].filter(({ share }) => share > 0).map((bin) => bin.volts);
  const fromV = 2 * Math.floor((Math.min(range.lowV, ...volts) - 1) / 2);
  const toV = 2 * Math.ceil((Math.max(range.highV, ...volts) + 1) / 2);
  const greatest = [...shown(l1), ...shown(l2)].reduce((most, { share }) => Math.max(most, share), 0.01);
  const stepPct = greatest > 0.4 ? 20 : greatest > 0.2 ? 10 : greatest > 0.08 ? 5 : 2;
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: 52, right: 16, top: 40, bottom: 46 },
    xAxis: {
      type: "value",
      min: fromV,
      max: toV,
      interval: narrow ? 4 : 2,
      name: "V",
      nameLocation: "middle",
      nameGap: 26,
      ...AXIS,
      splitLine: { show: false },
    },
    yAxis: {
      type: "value",
      min: 0,
      max: Math.ceil((greatest * 104) / stepPct) * stepPct,
      interval: stepPct,
      name: "% of the leg’s samples",
      nameGap: 22,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "left" },
      axisLine: { show: false },
      axisLabel: { ...TEXT, formatter: (percent: number) => formatNumber(percent) },
    },
    series: [
      leg("L1", shown(l1), binV, PAINT.l1, "solid", range),
      leg("L2", shown(l2), binV, PAINT.l2, [5, 2], null),
    ].flat(),
  };
}

function leg(
  name: string,
  bins: readonly VoltageBin[],
  binV: number,
  colour: string,
  dash: "solid" | number[],
  range: { readonly lowV: number; readonly highV: number } | null,
): SeriesOption[] {
  const edges = bins.flatMap(({ volts, share }) => [[volts - binV / 2, share * 100]]);
  const last = bins.at(-1);
  return [
    {
      type: "line",
      name,
      step: "end",
      silent: true,
      symbol: "none",
      emphasis: { disabled: true },
      lineStyle: { color: colour, width: 2, type: dash },
      itemStyle: { color: colour },
      areaStyle: { color: colour, opacity: 0.14 },
      data:
        last === undefined
          ? []
          : [
              [bins[0].volts - binV / 2, 0],
              ...edges,
              [last.volts + binV / 2, last.share * 100],
              [last.volts + binV / 2, 0],
            ],
    },
    ...(range === null
      ? []
      : [
          {
            type: "line" as const,
            name: "service range",
            data: [],
            silent: true,
            markLine: {
              silent: true,
              symbol: "none",
              animation: false,
              lineStyle: { color: PAINT.ink, width: 1.25, type: [7, 3] },
              label: {
                ...TEXT,
                color: PAINT.ink,
                position: "end" as const,
                formatter: ({ value }: { value?: unknown }) => `${value} V`,
              },
              data: [{ xAxis: range.lowV }, { xAxis: range.highV }],
            },
          },
        ]),
  ];
}
