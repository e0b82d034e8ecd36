import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { DayResult } from "../../src/analysis/results";
import { MONTH_NAMES } from "../../src/report/format";
import { formatNumber } from "../_format/number";
import { sharesPresent } from "../_tables/energy-by-day";
import { AXIS, PAINT, PATTERN, TEXT } from "./paint";

/** What is drawn of a day, or of a month (yyyy-MM). */
export type EnergyDay = Pick<DayResult, "date" | "fromMs" | "toMs" | "sharesHeldS" | "shares">;

/**
 * Energy of the load, a bar a day (or a month), stacked by where it came from.
 *
 * @param days Days with results, ascending.
 * @param dates Every day that gets a place on the axis, yyyy-MM-dd; of months yyyy-MM.
 */
export function energyByDayOption(
  days: readonly EnergyDay[],
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
      data: dates.map((date) => `${placeName(date)}${isPartly(byDate.get(date)) ? "*" : ""}`),
      ...AXIS,
      axisTick: { show: false },
      axisLabel: { ...TEXT, fontSize: 11, interval: narrow && dates.length > 12 ? 4 : 0 },
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

/** "14" of a day, "May" of a month. */
function placeName(date: string): string {
  return date.length > 7 ? String(Number(date.slice(8))) : MONTH_NAMES[Number(date.slice(5)) - 1].slice(0, 3);
}

/** Whether part of a day is missing from the log, which its bar must not hide. */
export function isPartly(day: EnergyDay | undefined): boolean {
  return day !== undefined && day.sharesHeldS < ((day.toMs - day.fromMs) / 1000) * 0.99;
}
