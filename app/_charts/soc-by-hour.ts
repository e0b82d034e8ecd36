import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { SocHour } from "../../src/analysis/soc-by-hour";
import { AXIS, PAINT, TEXT } from "./paint";

/**
 * State of charge over the day: the median of the days with the half of them that lies around it, and the least and
 * greatest of all samples.
 *
 * @param lowSocPct where the inverter leaves the battery; null where it isn't given
 */
export function socByHourOption(
  hours: readonly SocHour[],
  lowSocPct: number | null,
  narrow: boolean,
): EChartsOption {
  const byHour = new Map(hours.map((one) => [one.hour, one]));
  const all = Array.from({ length: 24 }, (_, hour) => byHour.get(hour));
  const line = (
    name: string,
    of: (hour: SocHour) => number,
    style: { width: number; type?: "dotted" | "solid"; color?: string },
  ): SeriesOption => ({
    type: "line",
    name,
    symbol: "none",
    silent: true,
    emphasis: { disabled: true },
    lineStyle: { color: PAINT.battery, ...style },
    itemStyle: { color: PAINT.battery },
    data: all.map((one) => (one === undefined ? null : of(one))),
  });
  const band = (name: string, of: (hour: SocHour) => number, opacity: number): SeriesOption => ({
    ...(line(name, of, { width: 0 }) as object),
    type: "line",
    stack: "quarters",
    areaStyle: { color: PAINT.battery, opacity },
  });
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: 44, right: 16, top: 28, bottom: 44 },
    xAxis: {
      type: "category",
      name: "Hour of the day, at the site",
      nameLocation: "middle",
      nameGap: 28,
      data: all.map((_, hour) => `${String(hour).padStart(2, "0")}:00`),
      boundaryGap: false,
      ...AXIS,
      axisLabel: { ...TEXT, interval: narrow ? 5 : 2 },
    },
    yAxis: {
      type: "value",
      name: "%",
      nameGap: 10,
      min: 0,
      max: 100,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "right" },
      axisLine: { show: false },
      splitNumber: 5,
    },
    series: [
      band("First quarter", (one) => one.q1Pct, 0),
      band("Half of the days", (one) => one.q3Pct - one.q1Pct, 0.25),
      line("Least", (one) => one.leastPct, { width: 1.25, type: "dotted" }),
      line("Greatest", (one) => one.greatestPct, { width: 1.25, type: "dotted" }),
      {
        ...(line("Median of the days", (one) => one.medianPct, { width: 2.25 }) as object),
        type: "line",
        markLine:
          lowSocPct === null
            ? undefined
            : {
                silent: true,
                symbol: "none",
                animation: false,
                lineStyle: { color: PAINT.alert, width: 1.5, type: [2, 3] },
                label: {
                  ...TEXT,
                  fontSize: 11,
                  color: PAINT.ink,
                  position: "insideStartBottom",
                  formatter: `${lowSocPct} %: left here`,
                },
                data: [{ yAxis: lowSocPct }],
              },
      },
    ],
  };
}
