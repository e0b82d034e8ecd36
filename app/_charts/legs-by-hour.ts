import type { EChartsOption } from "echarts/types/dist/shared";
import type { LegHour } from "../../src/analysis/demand";
import { formatNumber } from "../_format/number";
import { AXIS, PAINT, PATTERN, TEXT } from "./paint";

/**
 * Mean load of the legs by local hour of the day, mirrored about zero: L1 upwards, L2 downwards, so that imbalance
 * shows as asymmetry. An hour that isn't known has no bar.
 *
 * @param hours 24 of them
 */
export function legsByHourOption(hours: readonly LegHour[], narrow: boolean): EChartsOption {
  const greatestW = hours.reduce(
    (most, { l1W, l2W }) => Math.max(most, Math.abs(l1W ?? 0), Math.abs(l2W ?? 0)),
    100,
  );
  const rough = greatestW / 3;
  const size = 10 ** Math.floor(Math.log10(rough));
  const stepW = ([1, 2, 2.5, 5].find((times) => times * size >= rough) ?? 10) * size;
  const reachW = Math.ceil((greatestW * 1.02) / stepW) * stepW;
  const name = (text: string, of: "l1" | "l2") => ({
    type: "bar" as const,
    name: text,
    stack: "legs",
    barCategoryGap: "24%",
    silent: true,
    emphasis: { disabled: true },
    itemStyle: {
      color: PAINT[of],
      decal: of === "l2" ? PATTERN.battery : undefined,
      borderColor: PAINT.paper,
      borderWidth: 0.5,
    },
  });
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: 48, right: 10, top: 24, bottom: 46 },
    xAxis: {
      type: "category",
      data: hours.map(({ hour }) => String(hour)),
      name: "hour of the day at the site",
      nameLocation: "middle",
      nameGap: 28,
      ...AXIS,
      axisLine: { onZero: false, lineStyle: { color: PAINT.rule } },
      axisTick: { show: false },
      axisLabel: { ...TEXT, interval: narrow ? 2 : 0 },
    },
    yAxis: {
      type: "value",
      min: -reachW,
      max: reachW,
      interval: stepW,
      name: "kW, in the mean",
      nameGap: 8,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "left" },
      axisLine: { show: false },
      axisLabel: {
        ...TEXT,
        formatter: (powerW: number) =>
          formatNumber(Math.abs(powerW) / 1000, stepW % 1000 === 0 ? 0 : stepW % 100 === 0 ? 1 : 2),
      },
    },
    series: [
      {
        ...name("L1", "l1"),
        data: hours.map(({ l1W }) => l1W),
        markLine: {
          silent: true,
          symbol: "none",
          animation: false,
          label: { show: false },
          lineStyle: { color: PAINT.ink, width: 1, type: "solid" },
          data: [{ yAxis: 0 }],
        },
      },
      { ...name("L2", "l2"), data: hours.map(({ l2W }) => (l2W === null ? null : -l2W)) },
    ],
  };
}
