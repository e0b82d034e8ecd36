import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { DayResult } from "../../src/analysis/results";
import { formatNumber } from "../_format/number";
import { sharesPresent } from "../_tables/energy-by-day";
import { AXIS, PAINT, PATTERN, TEXT } from "./paint";

/**
 * Energy of the load, a bar a day, stacked by where it came from.
 *
 * @param days Days with results, ascending.
 * @param dates Every day that gets a place on the axis, yyyy-MM-dd.
 */
export function energyByDayOption(
  days: readonly DayResult[],
  dates: readonly string[],
  narrow: boolean,
): EChartsOption {
  const byDate = new Map(days.map((day) => [day.date, day]));
  const shares = sharesPresent(days);
  const series: SeriesOption[] = shares.map(({ key, title, colour }) => ({
    type: "bar",
    name: title,
    stack: "load",
    barCategoryGap: "22%",
    itemStyle: { color: PAINT[colour], decal: PATTERN[colour], borderColor: PAINT.paper, borderWidth: 0.5 },
    emphasis: { disabled: true },
    data: dates.map((date) => {
      const day = byDate.get(date);
      return day === undefined ? null : day.shares[key] / 1000;
    }),
  }));
  if (!narrow) {
    series.push({
      type: "bar",
      name: "Load",
      stack: "load",
      silent: true,
      itemStyle: { color: "none" },
      label: {
        show: true,
        position: "insideBottom",
        ...TEXT,
        fontSize: 10,
        formatter: ({ dataIndex }) => {
          const day = byDate.get(dates[dataIndex as number]);
          return day === undefined
            ? ""
            : formatNumber(day.shares.loadWh / 1000, day.shares.loadWh < 99_950 ? 1 : 0);
        },
      },
      data: dates.map((date) => (byDate.has(date) ? 0 : null)),
    });
  }
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: 44, right: 8, top: 24, bottom: 28 },
    xAxis: {
      type: "category",
      data: dates.map((date) => `${Number(date.slice(8))}${isPartly(byDate.get(date)) ? "*" : ""}`),
      ...AXIS,
      axisTick: { show: false },
      axisLabel: { ...TEXT, fontSize: 11, interval: narrow ? 4 : 0 },
    },
    yAxis: {
      type: "value",
      name: "kWh",
      nameGap: 8,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "right" },
      axisLine: { show: false },
      splitNumber: 4,
    },
    series,
  };
}

/** Whether part of a day is missing from the log, which its bar must not hide. */
export function isPartly(day: DayResult | undefined): boolean {
  return day !== undefined && day.sharesHeldS < ((day.toMs - day.fromMs) / 1000) * 0.99;
}
