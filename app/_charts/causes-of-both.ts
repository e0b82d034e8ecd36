import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import { formatNumber } from "../_format/number";
import { AXIS, PAINT, TEXT } from "./paint";

/** Transfers of one cause in two periods, a covered day; null where that isn't known. */
export type CauseOfBoth = { title: string; before: number | null; after: number | null };

/** Height of the picture in px for so many causes. */
export function causesOfBothHeight(causes: number): number {
  return 56 + 44 * Math.max(1, causes);
}

/**
 * Transfers by cause of two periods, a pair of bars a cause, a covered day. The earlier one is hollow, the later one
 * filled, so that they are told apart in black and white.
 *
 * @param causes In the order in which they stand, the first on top.
 */
export function causesOfBothOption(
  causes: readonly CauseOfBoth[],
  names: { readonly before: string; readonly after: string },
  narrow: boolean,
): EChartsOption {
  const series = (
    name: string,
    of: (cause: CauseOfBoth) => number | null,
    fill: { color: string; borderColor: string; borderWidth: number },
  ): SeriesOption => ({
    type: "bar",
    name,
    barWidth: 13,
    barGap: "15%",
    silent: true,
    emphasis: { disabled: true },
    itemStyle: fill,
    label: {
      show: true,
      position: "right",
      ...TEXT,
      fontSize: 11,
      formatter: ({ value }) => formatNumber(value as number, 2),
    },
    data: causes.map(of),
  });
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: narrow ? 106 : 168, right: 40, top: 4, bottom: 44 },
    xAxis: {
      type: "value",
      min: 0,
      name: "transfers a covered day",
      nameLocation: "middle",
      nameGap: 26,
      splitNumber: narrow ? 3 : 5,
      ...AXIS,
    },
    yAxis: {
      type: "category",
      inverse: true,
      data: causes.map(({ title }) => title),
      ...AXIS,
      axisTick: { show: false },
      axisLabel: { ...TEXT, fontSize: 11, width: narrow ? 98 : 160, overflow: "break" },
    },
    series: [
      series(names.before, ({ before }) => before, {
        color: PAINT.paper,
        borderColor: PAINT.ink,
        borderWidth: 1.25,
      }),
      series(names.after, ({ after }) => after, {
        color: PAINT.ink,
        borderColor: PAINT.ink,
        borderWidth: 1.25,
      }),
    ],
  };
}
