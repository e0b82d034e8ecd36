import type { SiteStretch, StretchChannel } from "../../db/queries/stretch-of-site";
import type { SourceRun } from "../../src/analysis/source-runs";
import type { DayBounds } from "../_format/day-address";
import { thinPoints } from "./thin-points";

/** One drawn line. Seconds since the stretch's beginning, ascending; null where the line breaks. */
export type Line = {
  s: number[];
  v: (number | null)[];
  /** Of minutes: least and greatest in each; absent for samples. */
  lo?: (number | null)[];
  hi?: (number | null)[];
};

export const DAY_LINES = [
  "l1W",
  "l2W",
  "loadW",
  "batteryA",
  "batteryW",
  "socPct",
  "solarW",
  "gridW",
] as const;

export type DayLine = (typeof DAY_LINES)[number];

/** Something that happened, with the letters that mark it and where it leads. Epoch ms. */
export type DayEvent = {
  kind: "transfer" | "dropout" | "near-limit" | "imbalance";
  fromMs: number;
  toMs: number;
  /** Of a near-limit interval: what was near its limit. */
  quantity?: "L1" | "L2" | "total" | "pass-through";
  text: string;
  href: string;
};

/** What the picture of a day, or a part of it, is drawn from: plain data, small enough for the browser. */
export type DayPicture = {
  slug: string;
  timezone: string;
  day: DayBounds;
  fromMs: number;
  toMs: number;
  kind: "samples" | "minutes";
  lines: Partial<Record<DayLine, Line>>;
  sources: SourceRun[] | null;
  events: DayEvent[];
  legLimitW: number;
  totalLimitW: number;
  /** Loading from which a limit is near. */
  nearLimit: number;
};

const CHANNEL: { [L in DayLine]: StretchChannel } = {
  l1W: "loadL1W",
  l2W: "loadL2W",
  loadW: "loadW",
  batteryA: "batteryA",
  batteryW: "batteryW",
  socPct: "batterySocPct",
  solarW: "solarW",
  gridW: "gridW",
};

/** Leaves room among the 2,000 points of a series for its breaks. */
const MOST_POINTS = 1900;

/**
 * Chooses what is drawn of a stretch: every minute with its mean, least and greatest, or the samples, thinned so that
 * no peak is lost; broken at gaps. The total is drawn where no leg is known, the battery's power where its current
 * isn't.
 */
export function dayPicture(
  stretch: SiteStretch,
  rest: Pick<DayPicture, "slug" | "timezone" | "day" | "events" | "legLimitW" | "totalLimitW" | "nearLimit">,
): DayPicture {
  const lines: DayPicture["lines"] = {};
  const seconds = stretch.kind === "minutes" ? lineSeconds(stretch, null) : null;
  for (const line of DAY_LINES) {
    const column = stretch.channels[CHANNEL[line]];
    if (column === undefined || column.mean.every(Number.isNaN)) continue;
    if (line === "loadW" && (lines.l1W !== undefined || lines.l2W !== undefined)) continue;
    if (line === "batteryW" && lines.batteryA !== undefined) continue;
    const chosen = seconds ?? lineSeconds(stretch, column.mean);
    const of = (values: Float64Array) =>
      chosen.rows.map((row, at) => (chosen.breaks[at] ? null : rounded(values[row])));
    lines[line] = {
      s: chosen.s,
      v: of(column.mean),
      ...(stretch.kind === "minutes" ? { lo: of(column.min), hi: of(column.max) } : {}),
    };
  }
  const { fromMs, toMs, kind, sources } = stretch;
  return { ...rest, fromMs, toMs, kind, lines, sources };
}

/** Which rows are drawn, and where; after a row that a gap follows stand its end and a break. */
function lineSeconds(
  { timesMs, holdS, fromMs, toMs }: SiteStretch,
  values: Float64Array | null,
): { s: number[]; rows: number[]; breaks: boolean[] } {
  const s: number[] = [];
  const rows: number[] = [];
  const breaks: boolean[] = [];
  const push = (atMs: number, row: number, isBreak: boolean) => {
    s.push(Math.max(0, Math.round(atMs - fromMs)) / 1000);
    rows.push(row);
    breaks.push(isBreak);
  };
  const kept = new Set(
    thinPoints(values ?? timesMs, values === null ? Number.POSITIVE_INFINITY : MOST_POINTS),
  );
  for (let row = 0; row < timesMs.length; row += 1) {
    if (kept.has(row)) push(timesMs[row], row, false);
    const endMs = Math.min(toMs, timesMs[row] + holdS[row] * 1000);
    const isLast = row === timesMs.length - 1;
    if (isLast || timesMs[row + 1] - endMs > 1) {
      push(endMs, row, false);
      if (!isLast) push(endMs, row, true);
    }
  }
  return { s, rows, breaks };
}

/** Five figures are more than a meter tells. */
function rounded(value: number): number | null {
  return Number.isNaN(value) ? null : Number(value.toPrecision(5));
}
