import type { CustomSeriesOption } from "echarts/charts";
import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import { coarserLegs } from "../../src/analysis/coarser-legs";
import type { LegCell, LegDensity } from "../../src/analysis/leg-density";
import { formatNumber } from "../_format/number";
import { formatKw } from "../_format/power";
import { AXIS, PAINT, TEXT } from "./paint";

/** Steps of held time, s, each with the share of ink that a square from there on gets: dark is long, in print too. */
export const DENSITY_STEPS = [
  { fromS: 0, ink: 0.14, title: "under a minute" },
  { fromS: 60, ink: 0.3, title: "1 to 10 min" },
  { fromS: 600, ink: 0.5, title: "10 to 60 min" },
  { fromS: 3600, ink: 0.72, title: "1 to 10 h" },
  { fromS: 36_000, ink: 1, title: "10 h or longer" },
] as const;

/** Heights of the picture in px. */
export const LEG_DENSITY_HEIGHT = { wide: 600, narrow: 372 } as const;

/** Squares along a rating, about: more couldn't be told apart. */
const SQUARES = { wide: 50, narrow: 25 } as const;

/** Squares that a picture has at most. */
const MAX_SQUARES = 1500;

/** What is drawn into the density beside its cells. */
export type DensityMarks = {
  legLimitW: number;
  totalLimitW: number;
  /** Loading from which a leg is near its limit. */
  nearLimit: number;
};

/**
 * The density of the load on L1 against that on L2: a square for each pair of loads, the darker the longer it was
 * held; hollow where the inverter never carried it and the loads only asked for it. Into it go the ratings as a box,
 * the zone near a leg's limit, the diagonal on which the legs are balanced, and each leg's greatest load. Both axes
 * have the same scale.
 */
export function legDensityOption(density: LegDensity, marks: DensityMarks, narrow: boolean): EChartsOption {
  const { legLimitW, totalLimitW, nearLimit } = marks;
  const { peaks } = density;
  // What lies far beyond the rating is left to the table, so that the box can be seen; its mark stands at the edge.
  const reachW = Math.min(
    legLimitW * 2.5,
    Math.max(legLimitW * 1.15, peaks.l1.l1W * 1.07, peaks.l2.l2W * 1.07),
  );
  const stepW = reachW > 10_000 ? 2000 : reachW > 2500 ? 1000 : 500;
  const lowestW = density.cells.reduce((least, { l1W, l2W }) => Math.min(least, l1W, l2W), 0);
  const leastW = Math.max(Math.floor(lowestW / stepW) * stepW, -reachW / 2);
  const { cellW, cells } = squaresFor(density, legLimitW / (narrow ? SQUARES.narrow : SQUARES.wide));
  const axis = {
    type: "value",
    min: leastW,
    max: reachW,
    interval: stepW,
    ...AXIS,
  } as const;
  const labels = {
    ...TEXT,
    showMaxLabel: false,
    formatter: (powerW: number) => formatNumber(powerW / 1000, stepW < 1000 ? 1 : 0),
  };
  const side = narrow ? 296 : 520;
  return {
    animation: false,
    textStyle: TEXT,
    grid: narrow
      ? { left: 42, top: 22, width: side, height: side }
      : { left: 60, top: 24, width: side, height: side },
    xAxis: {
      ...axis,
      name: "L1, kW",
      nameLocation: "middle",
      nameGap: 26,
      axisLabel: labels,
      axisLine: { onZero: false, lineStyle: { color: PAINT.rule } },
    },
    yAxis: {
      ...axis,
      name: "L2, kW",
      nameGap: 8,
      axisLabel: labels,
      axisLine: { onZero: false, lineStyle: { color: PAINT.rule } },
    },
    series: [
      nearZone(legLimitW, nearLimit, leastW),
      squaresOf(cells, cellW),
      balance(leastW, reachW),
      boxOf(legLimitW, totalLimitW, leastW),
      words(
        narrow ? `rating ${formatKw(legLimitW)}` : `rating of a leg ${formatKw(legLimitW)}`,
        leastW,
        legLimitW,
        [2, -18],
      ),
      words(narrow ? "near the limit" : "near the limit of L2", leastW, legLimitW, [2, 4]),
      words(narrow ? "balance" : "L1 = L2, the legs in balance", reachW, reachW, [-6, 4], "right"),
      peakMark("L1", peaks.l1.l1W, peaks.l1.l2W, "diamond", PAINT.l1, narrow, reachW),
      peakMark("L2", peaks.l2.l1W, peaks.l2.l2W, "triangle", PAINT.l2, narrow, reachW),
    ],
  };
}

/** Cells of about a width, or of as much more as it takes for a picture that isn't too much to send. */
function squaresFor(density: LegDensity, widthW: number) {
  let times = Math.max(1, Math.round(widthW / density.cellW));
  let coarser = coarserLegs(density, times);
  while (coarser.cells.length > MAX_SQUARES) coarser = coarserLegs(density, ++times);
  return coarser;
}

/** Which of the steps a held time falls into. */
function inkOf(heldS: number): number {
  let ink: number = DENSITY_STEPS[0].ink;
  for (const step of DENSITY_STEPS) if (heldS >= step.fromS) ink = step.ink;
  return ink;
}

function squaresOf(cells: readonly LegCell[], cellW: number): CustomSeriesOption {
  return {
    type: "custom",
    name: "held time",
    silent: true,
    clip: true,
    data: cells.map(({ l1W, l2W, heldS, onInverterS }) => [l1W, l2W, heldS, onInverterS]),
    renderItem: (_, api) => {
      const [left, bottom] = api.coord([api.value(0), api.value(1)]);
      const [right, top] = api.coord([Number(api.value(0)) + cellW, Number(api.value(1)) + cellW]);
      const ink = inkOf(Number(api.value(2)));
      const carried = Number(api.value(3)) > 0;
      const inset = carried ? 0.25 : 1;
      return {
        type: "rect",
        shape: {
          x: left + inset,
          y: top + inset,
          width: right - left - 2 * inset,
          height: bottom - top - 2 * inset,
        },
        style: carried
          ? { fill: PAINT.ink, opacity: ink }
          : { fill: "none", stroke: PAINT.ink, lineWidth: 1, opacity: Math.max(0.45, ink) },
      };
    },
  };
}

/** Both strips below a leg's limit, as far as the box reaches. */
function nearZone(limitW: number, nearLimit: number, leastW: number): SeriesOption {
  const nearW = limitW * nearLimit;
  return {
    type: "line",
    name: "near the limit",
    data: [],
    silent: true,
    markArea: {
      silent: true,
      animation: false,
      itemStyle: { color: PAINT.alert, opacity: 0.14 },
      data: [
        [{ coord: [nearW, leastW] }, { coord: [limitW, limitW] }],
        [{ coord: [leastW, nearW] }, { coord: [nearW, limitW] }],
      ],
    },
  };
}

/** Where both legs carry the same. */
function balance(fromW: number, toW: number): SeriesOption {
  return {
    type: "line",
    name: "balance",
    data: [
      [fromW, fromW],
      [toW, toW],
    ],
    silent: true,
    symbol: "none",
    emphasis: { disabled: true },
    lineStyle: { color: PAINT.ink, width: 1, type: [2, 4] },
  };
}

/** The ratings: a box of the legs', cut off where both together reach the rating in all. */
function boxOf(legLimitW: number, totalLimitW: number, leastW: number): SeriesOption {
  const cornerW = Math.max(leastW, Math.min(legLimitW, totalLimitW - legLimitW));
  return {
    type: "line",
    name: "rating",
    data: [
      [leastW, legLimitW],
      [cornerW, legLimitW],
      [legLimitW, cornerW],
      [legLimitW, leastW],
    ],
    silent: true,
    symbol: "none",
    emphasis: { disabled: true },
    lineStyle: { color: PAINT.ink, width: 1.75, type: [7, 3] },
  };
}

/** A few words at a place of the picture, moved by so many px. */
function words(
  text: string,
  l1W: number,
  l2W: number,
  offset: [right: number, down: number],
  align: "left" | "right" = "left",
): SeriesOption {
  return {
    type: "line",
    name: text,
    data: [[l1W, l2W]],
    silent: true,
    symbol: "circle",
    symbolSize: 0.01,
    emphasis: { disabled: true },
    label: {
      show: true,
      formatter: text,
      position: offset,
      align,
      verticalAlign: "top",
      ...TEXT,
      color: PAINT.ink,
    },
  };
}

function peakMark(
  leg: "L1" | "L2",
  l1W: number,
  l2W: number,
  symbol: string,
  colour: string,
  narrow: boolean,
  reachW: number,
): SeriesOption {
  const powerW = leg === "L1" ? l1W : l2W;
  return {
    type: "line",
    name: `greatest ${leg}`,
    data: [[Math.min(l1W, reachW), Math.min(l2W, reachW)]],
    silent: true,
    symbol,
    symbolSize: narrow ? 11 : 13,
    emphasis: { disabled: true },
    lineStyle: { width: 0 },
    itemStyle: { color: colour, borderColor: PAINT.paper, borderWidth: 1.5 },
    label: {
      show: true,
      formatter: narrow ? `${leg} ${formatKw(powerW)}` : `greatest ${leg} ${formatKw(powerW)}`,
      // A label that would leave the picture on the right stands to the left of its mark.
      position: l1W > reachW * (narrow ? 0.6 : 0.7) ? "left" : "right",
      ...TEXT,
      color: PAINT.ink,
      fontWeight: "bold",
      backgroundColor: PAINT.paper,
      padding: [1, 3],
    },
  };
}
