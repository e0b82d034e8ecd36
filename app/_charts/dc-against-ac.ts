import type { EChartsOption } from "echarts/types/dist/shared";
import type { InverterModel, PowerPoint } from "../../src/analysis/battery-power";
import { AXIS, PAINT, TEXT } from "./paint";

/**
 * Battery power against AC power on inverter without sun: the mean in each step of AC power as a point, a standard
 * deviation either way as a bar, and the fitted line.
 */
export function dcAgainstAcOption(
  points: readonly PowerPoint[],
  model: InverterModel | null,
  narrow: boolean,
): EChartsOption {
  const kw = (watts: number) => watts / 1000;
  const mostAcW = Math.max(...points.map(({ acW }) => acW), 100);
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: 48, right: 16, top: 28, bottom: 44 },
    xAxis: {
      type: "value",
      name: "AC power to the loads, kW",
      nameLocation: "middle",
      nameGap: 26,
      min: 0,
      ...AXIS,
      splitNumber: narrow ? 4 : 8,
    },
    yAxis: {
      type: "value",
      name: "From the battery, kW",
      nameGap: 10,
      min: 0,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "left" },
      axisLine: { show: false },
    },
    series: [
      {
        type: "line",
        name: "Fitted line",
        symbol: "none",
        silent: true,
        lineStyle: { color: PAINT.ink, width: 1.5, type: [6, 3] },
        data:
          model === null
            ? []
            : [
                [0, kw(model.idleW)],
                [kw(mostAcW), kw(model.idleW + mostAcW / model.efficiency)],
              ],
      },
      {
        type: "line",
        name: "Standard deviation",
        symbol: "none",
        silent: true,
        lineStyle: { color: PAINT.battery, width: 1 },
        // A bar for each point: a hole between two keeps them apart.
        data: points.flatMap(({ acW, dcW, dcSdW }) => [
          [kw(acW), kw(Math.max(0, dcW - dcSdW))],
          [kw(acW), kw(dcW + dcSdW)],
          [kw(acW), "-"],
        ]),
      },
      {
        type: "line",
        name: "Mean",
        silent: true,
        symbol: "circle",
        symbolSize: narrow ? 4 : 5,
        showAllSymbol: true,
        lineStyle: { width: 0 },
        itemStyle: { color: PAINT.battery },
        data: points.map(({ acW, dcW }) => [kw(acW), kw(dcW)]),
      },
    ],
  };
}
