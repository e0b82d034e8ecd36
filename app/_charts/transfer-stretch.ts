import { type NumericChannel, type Series, SOURCES, type Source } from "../../src/analysis/series";
import { thinPoints } from "./thin-points";

/** Points of one drawn line: [instant, value], null where the line breaks. */
export type Points = [number, number | null][];

/** What the picture of a stretch of samples is drawn from: plain data, small enough for the browser. */
export type TransferStretch = {
  fromMs: number;
  toMs: number;
  timezone: string;
  l1W: Points | null;
  l2W: Points | null;
  /** Drawn where the log has no legs. */
  loadW: Points | null;
  batteryA: Points | null;
  socPct: Points | null;
  /** Stretches of one source; null where the log has no source. */
  sources: { fromMs: number; toMs: number; source: Source }[] | null;
};

/** Chooses what is drawn of the samples: at most 2,000 points a line, no peak lost, broken at gaps. */
export function transferStretch(
  series: Series,
  nominalMs: number | null,
  { fromMs, toMs, timezone }: { fromMs: number; toMs: number; timezone: string },
): TransferStretch {
  const gapMs = nominalMs === null ? Number.POSITIVE_INFINITY : 3 * nominalMs;
  const line = (channel: NumericChannel): Points | null => {
    const values = series.channels[channel];
    return values === undefined || values.every(Number.isNaN)
      ? null
      : points(series.timesMs, values, gapMs, nominalMs ?? 0);
  };
  const l1W = line("loadL1W");
  const l2W = line("loadL2W");
  return {
    fromMs,
    toMs,
    timezone,
    l1W,
    l2W,
    loadW: l1W === null && l2W === null ? line("loadW") : null,
    batteryA: line("batteryA"),
    socPct: line("batterySocPct"),
    sources:
      series.sources === null ? null : sourceRuns(series.timesMs, series.sources, gapMs, nominalMs ?? 0),
  };
}

function points(times: Float64Array, values: Float32Array, gapMs: number, holdMs: number): Points {
  const drawn: Points = [];
  let lastMs = Number.NaN;
  for (const at of thinPoints(values)) {
    // A gap is looked for at the sample itself: between two that were chosen others may stand.
    if (at > 0 && times[at] - times[at - 1] > gapMs && drawn.length > 0) {
      drawn.push([times[at - 1] + holdMs, drawn[drawn.length - 1][1]], [times[at - 1] + holdMs + 1, null]);
    }
    const value = values[at];
    drawn.push([times[at], Number.isNaN(value) ? null : Number(value.toPrecision(6))]);
    lastMs = times[at];
  }
  const last = drawn.at(-1);
  if (last !== undefined && holdMs > 0) drawn.push([lastMs + holdMs, last[1]]);
  return drawn;
}

function sourceRuns(times: Float64Array, codes: Uint8Array, gapMs: number, holdMs: number) {
  const runs: { fromMs: number; toMs: number; source: Source }[] = [];
  for (let at = 0; at < times.length; at += 1) {
    const isLast = at === times.length - 1;
    const untilMs = isLast || times[at + 1] - times[at] > gapMs ? times[at] + holdMs : times[at + 1];
    const source = SOURCES[codes[at]];
    const open = runs.at(-1);
    if (open !== undefined && open.source === source && open.toMs === times[at]) open.toMs = untilMs;
    else runs.push({ fromMs: times[at], toMs: untilMs, source });
  }
  return runs;
}
