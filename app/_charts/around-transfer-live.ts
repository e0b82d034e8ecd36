import { clockOf } from "../../src/report/format";
import { dayBoundsAt, LEAST_STRETCH_MS, stretchHref } from "../_format/day-address";
import { localTime } from "../_format/local-time";
import { formatQuantity } from "../_format/number";
import { formatLoading } from "../_format/percent";
import { formatKw } from "../_format/power";
import { SOURCE_WORDS } from "../_format/words";
import { aroundTransferOption, type TransferMarks } from "./around-transfer";
import type { Picture } from "./picture";
import type { Points, TransferStretch } from "./transfer-stretch";

/** What the minutes around a transfer are drawn from: plain data, small enough for the browser. */
export type AroundTransferPicture = { slug: string; stretch: TransferStretch; marks: TransferMarks };

/** The minutes around a transfer as they live in the browser; a stretch drawn over leads to the day's sheet. */
export const picture: Picture<AroundTransferPicture> = {
  option: ({ stretch, marks }, narrow) => aroundTransferOption(stretch, marks, narrow),
  stops: ({ stretch: { l1W, l2W, loadW, fromMs, toMs } }) => {
    const lines = [l1W, l2W, loadW].filter((line) => line !== null);
    const times = new Set(lines.flatMap((line) => line.map(([atMs]) => Math.floor(atMs))));
    return [...times].filter((atMs) => atMs >= fromMs && atMs < toMs).sort((a, b) => a - b);
  },
  readout: ({ stretch, marks }, atMs) => {
    const where = localTime(atMs, stretch.timezone).clockWithSeconds;
    const parts: string[] = [];
    const add = (name: string, line: Points | null, show: (value: number) => string, limitW?: number) => {
      if (line === null) return;
      const value = valueAt(line, atMs);
      const ofRating =
        limitW === undefined || value === null ? "" : `, ${formatLoading(value / limitW)} of its rating`;
      parts.push(value === null ? `${name} not in the log` : `${name} ${show(value)}${ofRating}`);
    };
    add("L1", stretch.l1W, formatKw, marks.legLimitW);
    add("L2", stretch.l2W, formatKw, marks.legLimitW);
    add("load", stretch.loadW, formatKw, marks.totalLimitW);
    add(
      "battery",
      stretch.batteryA,
      (value) => `${formatQuantity(Math.abs(value), "A", 1)} ${value < 0 ? "in" : "out"}`,
    );
    add("SOC", stretch.socPct, (value) => formatQuantity(value, "%", 1));
    const run = stretch.sources?.find((one) => one.fromMs <= atMs && atMs < one.toMs);
    if (run !== undefined) parts.push(SOURCE_WORDS[run.source].toLowerCase());
    return { where, what: `${where}: ${parts.join("; ")}.` };
  },
  select: ({ slug, stretch: { fromMs, toMs, timezone } }, from, to) => {
    const clock = clockOf(timezone);
    const [a, b] = [Math.min(from, to), Math.max(from, to)].map((atMs) => Math.round(atMs / 1000) * 1000);
    const day = dayBoundsAt(a, clock);
    const [start, end] = [Math.max(a, fromMs, day.fromMs), Math.min(b, toMs, day.toMs)];
    return end - start < LEAST_STRETCH_MS ? null : stretchHref(slug, day, start, end, clock);
  },
};

/** The value that stands at an instant: that of the last point at or before it. */
function valueAt(line: Points, atMs: number): number | null {
  let found: number | null = null;
  for (const [pointMs, value] of line) {
    if (pointMs > atMs) break;
    found = value;
  }
  return found;
}
