import type { BarSeriesOption } from "echarts/charts";

/**
 * Colours of the drawings, as the custom properties of tokens.css: the drawing is SVG inside the page, so it
 * follows light, dark and print without being made again.
 */
export const PAINT = {
  l1: "var(--l1)",
  l2: "var(--l2)",
  solar: "var(--solar)",
  battery: "var(--battery)",
  grid: "var(--grid)",
  generator: "var(--generator)",
  unknown: "var(--unknown)",
  ink: "var(--ink)",
  inkSoft: "var(--ink-soft)",
  hairline: "var(--hairline)",
  rule: "var(--rule)",
  paper: "var(--paper)",
  sunk: "var(--paper-sunk)",
  alert: "var(--alert)",
  nearZone: "var(--loading-4)",
} as const;

/** The second cue beside a colour: a pattern for each share, so that the picture reads in black and white. */
export const PATTERN: Record<"solar" | "battery" | "grid" | "generator" | "unknown", Pattern | undefined> = {
  solar: undefined,
  battery: stripes(Math.PI / 4, [2, 5], PAINT.paper),
  grid: stripes(0, [2, 3], PAINT.paper),
  generator: { symbol: "circle", symbolSize: 0.5, dashArrayX: 6, dashArrayY: 6, color: PAINT.ink },
  unknown: stripes(-Math.PI / 4, [1, 5], PAINT.ink),
};

type Pattern = NonNullable<NonNullable<BarSeriesOption["itemStyle"]>["decal"]>;

function stripes(rotation: number, dashArrayY: number[], color: string): Pattern {
  return { symbol: "rect", dashArrayX: [1, 0], dashArrayY, rotation, color };
}

/** Slanted lines as the fill of a mark; crossed where asked for. */
export function slanted(colour: string, distance: number, width = 1, crossed = false): object {
  const d = crossed
    ? `M0 0L${distance} ${distance}M${distance} 0L0 ${distance}`
    : `M-1 1L1 -1M0 ${distance}L${distance} 0M${distance - 1} ${distance + 1}L${distance + 1} ${distance - 1}`;
  const svgElement = {
    tag: "path",
    attrs: { d, stroke: colour, "stroke-width": width, fill: "none" },
    key: d,
  };
  return { type: "pattern", repeat: "repeat", svgElement, svgWidth: distance, svgHeight: distance };
}

/** What all drawings have in common: nothing moves, hairlines, the page's type. */
export const TEXT = { fontFamily: "sans-serif", fontSize: 12, color: PAINT.inkSoft } as const;

export const AXIS = {
  axisLine: { lineStyle: { color: PAINT.rule } },
  axisTick: { lineStyle: { color: PAINT.rule } },
  axisLabel: TEXT,
  nameTextStyle: TEXT,
  splitLine: { lineStyle: { color: PAINT.hairline } },
} as const;
