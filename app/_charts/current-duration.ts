import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import type { CurrentStep } from "../../src/analysis/current-duration";
import { formatDuration } from "../_format/duration";
import { AXIS, PAINT, TEXT } from "./paint";

/** A rating to draw in, A. */
export type CurrentLimit = { amps: number; name: string };

/**
 * How long the battery gave, and took, each current or more, on a scale of seconds, minutes and hours, with the ratings
 * drawn in: where a curve crosses a rating, it is read how long it was above it.
 *
 * @param steps of one ampere
 */
export function currentDurationOption(
  steps: readonly CurrentStep[],
  limits: readonly CurrentLimit[],
  narrow: boolean,
): EChartsOption {
  const mostS = Math.max(3600, ...steps.flatMap((step) => [step.dischargeAtLeastS, step.chargeAtLeastS]));
  const mostA = Math.max(...steps.map(({ fromA }) => fromA), ...limits.map(({ amps }) => amps), 10);
  const curve = (name: string, of: (step: CurrentStep) => number, dashed: boolean): SeriesOption => ({
    type: "line",
    name,
    step: "end",
    symbol: "none",
    silent: true,
    emphasis: { disabled: true },
    lineStyle: { color: PAINT.battery, width: dashed ? 1.75 : 2.25, type: dashed ? [5, 3] : "solid" },
    itemStyle: { color: PAINT.battery },
    // Time under a second is no place on a logarithmic scale: there the curve ends.
    data: steps.filter((step) => of(step) >= 1).map((step) => [step.fromA, of(step)]),
  });
  return {
    animation: false,
    textStyle: TEXT,
    grid: { left: narrow ? 48 : 60, right: 16, top: 28, bottom: 44 },
    xAxis: {
      type: "value",
      name: "Battery current, A",
      nameLocation: "middle",
      nameGap: 26,
      min: 0,
      max: Math.ceil((mostA * 1.05) / 10) * 10,
      ...AXIS,
      splitNumber: narrow ? 4 : 8,
      splitLine: { show: false },
    },
    yAxis: {
      type: "log",
      logBase: 60,
      min: 1,
      max: mostS * 2,
      name: "That or more for",
      nameGap: 10,
      ...AXIS,
      nameTextStyle: { ...TEXT, align: "left" },
      axisLine: { show: false },
      axisLabel: {
        ...TEXT,
        showMaxLabel: false,
        formatter: (seconds: number) => TICKS.get(seconds) ?? formatDuration(seconds),
      },
    },
    series: [
      curve("Discharging", (step) => step.dischargeAtLeastS, false),
      curve("Charging", (step) => step.chargeAtLeastS, true),
      {
        type: "line",
        name: "Ratings",
        data: [],
        markLine: {
          silent: true,
          symbol: "none",
          animation: false,
          lineStyle: { color: PAINT.alert, width: 1.5, type: [2, 3] },
          label: { ...TEXT, fontSize: 11, color: PAINT.ink, position: "insideEndTop" },
          data: together(limits).map(({ amps, name }) => ({
            xAxis: amps,
            label: { formatter: `${amps} A: ${name}` },
          })),
        },
      },
    ],
  };
}

/** Powers of 60 as people say them. */
const TICKS: ReadonlyMap<number, string> = new Map([
  [216_000, "60 h"],
  [12_960_000, "150 d"],
]);

/** Ratings of the same current share a line. */
function together(limits: readonly CurrentLimit[]): CurrentLimit[] {
  const merged: CurrentLimit[] = [];
  for (const { amps, name } of limits) {
    const same = merged.find((one) => one.amps === amps);
    if (same === undefined) merged.push({ amps, name });
    else same.name += `, ${name}`;
  }
  return merged;
}
