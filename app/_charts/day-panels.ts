import type { EChartsOption, SeriesOption } from "echarts/types/dist/shared";
import { clockOf } from "../../src/report/format";
import { localTime } from "../_format/local-time";
import { formatNumber } from "../_format/number";
import { formatKw } from "../_format/power";
import { clockTicks } from "./clock-ticks";
import { coarserLine } from "./coarser-line";
import type { DayPicture, Line } from "./day-picture";
import { AXIS, PAINT, slanted, TEXT } from "./paint";
import { runStyle, SOURCE_LETTERS, sourceWords } from "./source-runs";

/** Margins beside the panels, px. */
const SIDE = { wide: { left: 56, right: 20 }, narrow: { left: 42, right: 18 } };

/** Points of a line above which its steps are narrower than can be seen. */
const STEPS_SEEN = 700;
/** Points of a line, a px or more from one another. */
const POINTS = { wide: 800, narrow: 400 };

type Panel = { key: "band" | "load" | "battery" | "soc" | "energy"; top: number; height: number };

/** Height of the picture in px. */
export function dayPanelsHeight(picture: DayPicture, narrow: boolean): number {
  const last = panelsOf(picture, narrow).at(-1)!;
  return last.top + last.height + 30;
}

/**
 * A day, or a part of it, in panels over one time axis: what carried the loads, as a band; L1 upwards and L2 downwards
 * from the same zero with their ratings and the zone near them, so that imbalance shows as asymmetry; battery current;
 * state of charge; sun and grid. Lines through all of them are transfers and dropouts.
 */
export function dayPanelsOption(picture: DayPicture, narrow: boolean): EChartsOption {
  const { fromMs, toMs, timezone, lines } = picture;
  const clock = clockOf(timezone);
  const panels = panelsOf(picture, narrow);
  const side = narrow ? SIDE.narrow : SIDE.wide;
  const lengthS = (toMs - fromMs) / 1000;
  // Figures with seconds want more room.
  const most = narrow ? (lengthS <= 300 ? 3 : 5) : 13;
  const ticksMs = clockTicks(fromMs, toMs, clock, most);
  const ticks = ticksMs.map((atMs) => (atMs - fromMs) / 1000);
  const withSeconds = ticksMs.some((atMs) => atMs % 60_000 !== 0);
  const label = (s: number) => {
    const at = localTime(fromMs + s * 1000, timezone);
    return withSeconds ? at.clockWithSeconds : at.clock;
  };
  const loadW = loadScale(picture);
  return {
    animation: false,
    textStyle: TEXT,
    // Every panel as wide as the others, whatever its labels are.
    grid: panels.map(({ top, height }) => ({ ...side, top, height, outerBoundsMode: "none" })),
    xAxis: panels.map(({ key }, gridIndex) => {
      const last = gridIndex === panels.length - 1;
      return {
        type: "value",
        gridIndex,
        min: 0,
        max: lengthS,
        ...AXIS,
        axisLine: { show: last, onZero: false, lineStyle: { color: PAINT.rule } },
        axisTick: { show: last, customValues: ticks, lineStyle: { color: PAINT.rule } },
        axisLabel: { ...TEXT, show: last, customValues: ticks, formatter: label, hideOverlap: true },
        splitLine: { show: key !== "band", lineStyle: { color: PAINT.hairline } },
      };
    }),
    yAxis: panels.map(({ key }, gridIndex) => yAxis(key, gridIndex, picture, loadW, side.left)),
    series: panels.flatMap(({ key }, at) => panelSeries(key, at)),
  };

  function panelSeries(key: Panel["key"], at: number): SeriesOption[] {
    const events = eventLines(picture, at);
    switch (key) {
      case "band":
        return [bandSeries(picture, at, events, narrow)];
      case "load":
        return loadSeries(picture, at, events, narrow, loadW);
      case "battery":
        return [
          base(at, events),
          ...(lines.batteryA === undefined
            ? lineSeries("Battery power", lines.batteryW!, at, PAINT.battery, "solid", narrow)
            : lineSeries("Battery current", lines.batteryA, at, PAINT.battery, "solid", narrow)),
        ];
      case "soc":
        return [base(at, events), ...lineSeries("SOC", lines.socPct!, at, PAINT.inkSoft, "solid", narrow)];
      case "energy":
        return [
          base(at, events),
          ...(lines.solarW === undefined
            ? []
            : lineSeries("Sun", lines.solarW, at, PAINT.solar, "solid", narrow)),
          ...(lines.gridW === undefined
            ? []
            : lineSeries("Grid", lines.gridW, at, PAINT.grid, [5, 2], narrow)),
        ];
    }
  }
}

/** How far the time axis lies from the picture's edges, px. */
export function dayAxisInset(narrow: boolean): { left: number; right: number } {
  return narrow ? SIDE.narrow : SIDE.wide;
}

function panelsOf({ lines, sources }: DayPicture, narrow: boolean): Panel[] {
  const wanted: [Panel["key"], number, boolean][] = [
    ["band", 20, sources !== null],
    [
      "load",
      narrow ? 210 : 260,
      lines.l1W !== undefined || lines.l2W !== undefined || lines.loadW !== undefined,
    ],
    ["battery", 84, lines.batteryA !== undefined || lines.batteryW !== undefined],
    ["soc", 64, lines.socPct !== undefined],
    ["energy", 96, lines.solarW !== undefined || lines.gridW !== undefined],
  ];
  const panels: Panel[] = [];
  let top = 0;
  for (const [key, height, shown] of wanted) {
    if (!shown) continue;
    top += key === "band" ? 4 : 28;
    panels.push({ key, top, height });
    top += height;
  }
  return panels.length > 0 ? panels : [{ key: "band", top: 4, height: 20 }];
}

type Scale = { limitW: number; topW: number; bottomW: number; stepW: number; mirrored: boolean };

function loadScale({ lines, legLimitW, totalLimitW }: DayPicture): Scale {
  const mirrored = lines.l1W !== undefined || lines.l2W !== undefined;
  const limitW = mirrored ? legLimitW : totalLimitW;
  const stepW = limitW / 2;
  const upTo = (powerW: number) => Math.ceil((powerW * 1.04) / stepW) * stepW;
  const most = (line: Line | undefined) => greatest(line?.hi ?? line?.v ?? []);
  const least = (line: Line | undefined) =>
    -greatest((line?.lo ?? line?.v ?? []).map((v) => (v === null ? v : -v)));
  const topW = upTo(Math.max(limitW * 1.08, most(lines.l1W), most(lines.l2W), most(lines.loadW)));
  return {
    limitW,
    topW,
    stepW,
    mirrored,
    bottomW: mirrored ? -topW : -upTo(-Math.min(0, least(lines.loadW))),
  };
}

function yAxis(key: Panel["key"], gridIndex: number, { lines }: DayPicture, load: Scale, left: number) {
  if (key === "band") return { type: "value", gridIndex, show: false, min: 0, max: 1 } as const;
  const common = {
    type: "value",
    gridIndex,
    ...AXIS,
    axisLine: { show: false },
    axisTick: { show: false },
    nameGap: 8,
    // The panel's name begins at the picture's left edge.
    nameTextStyle: { ...TEXT, color: PAINT.ink, align: "left", padding: [0, 0, 0, 4 - left] as number[] },
    axisLabel: { ...TEXT, fontSize: 11 },
  } as const;
  const kilo = (powerW: number) =>
    formatNumber(Math.abs(powerW) / 1000, Math.abs(powerW) % 1000 === 0 ? 0 : 1);
  const signedKilo = (powerW: number) => formatNumber(powerW / 1000, powerW % 1000 === 0 ? 0 : 1);
  switch (key) {
    case "load":
      return {
        ...common,
        name: load.mirrored ? "Load in kW: L1 upwards, L2 downwards" : "Load of both legs in kW",
        min: load.bottomW,
        max: load.topW,
        interval: load.stepW,
        axisLabel: { ...common.axisLabel, formatter: load.mirrored ? kilo : signedKilo },
      };
    case "battery":
      return lines.batteryA === undefined
        ? {
            ...common,
            name: "Battery in kW, out above zero",
            splitNumber: 3,
            axisLabel: { ...common.axisLabel, formatter: signedKilo },
          }
        : { ...common, name: "Battery current in A, out above zero", splitNumber: 3 };
    case "soc":
      return { ...common, name: "State of charge in %", min: 0, max: 100, interval: 50 };
    case "energy": {
      const names = [
        ...(lines.solarW === undefined ? [] : ["Sun"]),
        ...(lines.gridW === undefined ? [] : ["grid"]),
      ].join(" and ");
      return {
        ...common,
        name: `${names[0].toUpperCase()}${names.slice(1)} in kW${lines.gridW === undefined ? "" : ", grid in above zero"}`,
        splitNumber: 3,
        axisLabel: { ...common.axisLabel, formatter: signedKilo },
      };
    }
  }
}

/** A series without points that carries a panel's marks. */
function base(at: number, marks: Partial<SeriesOption>): SeriesOption {
  return {
    type: "line",
    name: `events ${at}`,
    xAxisIndex: at,
    yAxisIndex: at,
    data: [],
    ...marks,
  } as SeriesOption;
}

function eventLines({ events, fromMs, toMs }: DayPicture, at: number): Partial<SeriesOption> {
  const lines = events
    .filter(
      ({ kind, fromMs: atMs }) =>
        (kind === "transfer" || kind === "dropout") && atMs >= fromMs && atMs < toMs,
    )
    .map(({ kind, fromMs: atMs }) => ({
      xAxis: (atMs - fromMs) / 1000,
      lineStyle:
        kind === "transfer"
          ? { color: PAINT.alert, width: 1.25, type: "solid" as const }
          : { color: PAINT.ink, width: 2, type: [3, 2] },
    }));
  return {
    markLine: { silent: true, symbol: "none", animation: false, label: { show: false }, data: lines },
    id: `events ${at}`,
  } as Partial<SeriesOption>;
}

function bandSeries(
  { sources, fromMs, toMs }: DayPicture,
  at: number,
  events: Partial<SeriesOption>,
  narrow: boolean,
): SeriesOption {
  const lengthMs = toMs - fromMs;
  const data = (sources ?? []).map((run) => {
    const share = (run.toMs - run.fromMs) / lengthMs;
    const words = sourceWords(run.source);
    return [
      {
        coord: [(run.fromMs - fromMs) / 1000, 0],
        itemStyle: runStyle(run.source),
        label: {
          show: share > (narrow ? 0.05 : 0.02),
          position: "inside" as const,
          formatter: share > words.length * (narrow ? 0.026 : 0.011) ? words : SOURCE_LETTERS[run.source],
          ...TEXT,
          color: PAINT.ink,
          fontWeight: "bold" as const,
        },
      },
      { coord: [(run.toMs - fromMs) / 1000, 1] },
    ];
  });
  return base(at, {
    ...events,
    markArea: { silent: true, animation: false, data } as never,
  });
}

function loadSeries(
  { lines, events, fromMs, toMs, nearLimit }: DayPicture,
  at: number,
  eventMarks: Partial<SeriesOption>,
  narrow: boolean,
  { limitW, topW, bottomW, mirrored }: Scale,
): SeriesOption[] {
  const lengthS = (toMs - fromMs) / 1000;
  const span = ({ fromMs: a, toMs: b }: { fromMs: number; toMs: number }) =>
    [Math.max(0, (a - fromMs) / 1000), Math.min(lengthS, (b - fromMs) / 1000)] as const;
  const area = (x: readonly [number, number], y: readonly [number, number], itemStyle: object) => [
    { coord: [x[0], y[0]], itemStyle },
    { coord: [x[1], y[1]] },
  ];
  const whole = [0, lengthS] as const;
  const zone = { color: PAINT.nearZone, opacity: 0.45 };
  const near = { color: slanted(PAINT.ink, 5), opacity: 0.55 };
  const marked = events.filter((event) => event.toMs > fromMs && event.fromMs < toMs);
  const areas = [
    area(whole, [limitW * nearLimit, limitW], zone),
    ...(mirrored ? [area(whole, [-limitW, -limitW * nearLimit], zone)] : []),
    ...marked.flatMap((event) => {
      if (event.kind === "imbalance") {
        return mirrored
          ? [area(span(event), [-topW * 0.025, topW * 0.025], { color: PAINT.ink, opacity: 0.6 })]
          : [];
      }
      if (event.kind !== "near-limit" || event.quantity === "pass-through") return [];
      const up = area(span(event), [limitW * nearLimit, topW], near);
      const down = area(span(event), [-limitW * nearLimit, bottomW], near);
      if (event.quantity === "L1") return [up];
      if (event.quantity === "L2") return [down];
      return mirrored ? [up, down] : [up];
    }),
  ];
  const rating = (name: string, value: number) => ({
    yAxis: value,
    lineStyle: { color: PAINT.ink, width: 1.25, type: [7, 3] },
    label: {
      show: true,
      position: value > 0 ? "insideStartTop" : "insideStartBottom",
      ...TEXT,
      color: PAINT.ink,
      formatter: narrow ? `${name} ${formatKw(limitW)}` : `${name} rating ${formatKw(limitW)}`,
    },
  });
  const { data: eventLineData, ...lineRest } = (
    eventMarks as { markLine: { data: readonly unknown[] } & { [key: string]: unknown } }
  ).markLine;
  const marks = {
    ...eventMarks,
    markLine: {
      ...lineRest,
      data: [
        ...eventLineData,
        ...(mirrored ? [rating("L1", limitW), rating("L2", -limitW)] : [rating("Total", limitW)]),
        { yAxis: 0, lineStyle: { color: PAINT.rule, width: 1, type: "solid" } },
      ],
    },
    markArea: { silent: true, animation: false, label: { show: false }, data: areas },
  } as unknown as Partial<SeriesOption>;
  return [
    base(at, marks),
    ...(lines.l1W === undefined ? [] : lineSeries("L1", lines.l1W, at, PAINT.l1, "solid", narrow, true)),
    ...(lines.l2W === undefined
      ? []
      : lineSeries("L2", negated(lines.l2W), at, PAINT.l2, [5, 2], narrow, true)),
    ...(lines.loadW === undefined
      ? []
      : lineSeries("Load", lines.loadW, at, PAINT.ink, "solid", narrow, true)),
  ];
}

/** A line, and where it is the mean of minutes the range of each behind it. */
function lineSeries(
  name: string,
  given: Line,
  at: number,
  colour: string,
  dash: "solid" | number[],
  narrow: boolean,
  filled = false,
): SeriesOption[] {
  const line = coarserLine(given, narrow ? POINTS.narrow : POINTS.wide);
  const step = line.s.length <= STEPS_SEEN ? ("end" as const) : undefined;
  const common = {
    type: "line",
    xAxisIndex: at,
    yAxisIndex: at,
    step,
    symbol: "none",
    silent: true,
    emphasis: { disabled: true },
  } as const;
  const points = (values: readonly (number | null)[]) => line.s.map((s, i) => [s, values[i]]);
  const { lo, hi } = line;
  const range: SeriesOption[] =
    lo === undefined || hi === undefined
      ? []
      : [
          {
            ...common,
            name: `${name} least`,
            stack: name,
            stackStrategy: "all",
            lineStyle: { width: 0 },
            data: points(lo),
          },
          {
            ...common,
            name: `${name} range`,
            stack: name,
            stackStrategy: "all",
            lineStyle: { width: 0 },
            areaStyle: { color: colour, opacity: 0.35 },
            data: points(hi.map((value, i) => (value === null || lo[i] === null ? null : value - lo[i]))),
          },
        ];
  return [
    ...range,
    {
      ...common,
      name,
      lineStyle: { color: colour, width: 1.5, type: dash },
      itemStyle: { color: colour },
      ...(filled ? { areaStyle: { color: colour, opacity: 0.12, origin: 0 } } : {}),
      data: points(line.v),
    },
  ];
}

function negated({ s, v, lo, hi }: Line): Line {
  const turn = (values: readonly (number | null)[]) =>
    values.map((value) => (value === null ? null : -value));
  return lo === undefined || hi === undefined
    ? { s, v: turn(v) }
    : { s, v: turn(v), lo: turn(hi), hi: turn(lo) };
}

function greatest(values: readonly (number | null)[]): number {
  let most = 0;
  for (const value of values) if (value !== null && value > most) most = value;
  return most;
}
