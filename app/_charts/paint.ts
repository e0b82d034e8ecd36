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
} as const;

/** The second cue beside a colour: a pattern for each share, so that the picture reads in black and white. */
export const PATTERN = {
  solar: undefined,
  battery: {
    symbol: "rect",
    dashArrayX: [1, 0],
    dashArrayY: [2, 5],
    rotation: Math.PI / 4,
    color: PAINT.paper,
  },
  grid: { symbol: "rect", dashArrayX: [1, 0], dashArrayY: [2, 3], rotation: 0, color: PAINT.paper },
  generator: { symbol: "circle", symbolSize: 0.5, dashArrayX: 6, dashArrayY: 6, color: PAINT.ink },
  unknown: {
    symbol: "rect",
    dashArrayX: [1, 0],
    dashArrayY: [1, 5],
    rotation: -Math.PI / 4,
    color: PAINT.ink,
  },
} as const;

/** What all drawings have in common: nothing moves, hairlines, the page's type. */
export const TEXT = { fontFamily: "inherit", fontSize: 12, color: PAINT.inkSoft } as const;

export const AXIS = {
  axisLine: { lineStyle: { color: PAINT.rule } },
  axisTick: { lineStyle: { color: PAINT.rule } },
  axisLabel: TEXT,
  nameTextStyle: TEXT,
  splitLine: { lineStyle: { color: PAINT.hairline } },
} as const;
