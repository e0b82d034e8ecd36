import { clockOf } from "../../src/report/format";
import { localTime } from "../_format/local-time";
import { formatQuantity } from "../_format/number";
import { formatLoading } from "../_format/percent";
import { formatKw } from "../_format/power";
import type { DayLine, DayPicture, Line } from "./day-picture";
import { sourceWords } from "./source-runs";

/** What the day's picture shows at so many seconds from its beginning, in words. */
export function readDay(data: DayPicture, at: number): { where: string; what: string } {
  const { fromMs, timezone, lines, kind, legLimitW, totalLimitW } = data;
  const atMs = fromMs + at * 1000;
  const time = localTime(atMs, timezone);
  const clock = kind === "minutes" ? time.clock : time.clockWithSeconds;
  const changes =
    clockOf(timezone).offsetMs(data.day.fromMs) !== clockOf(timezone).offsetMs(data.day.toMs - 1);
  const where = changes ? `${clock} ${time.zone}` : clock;
  const parts: string[] = [];
  const add = (name: string, key: DayLine, show: (value: number) => string, limitW?: number) => {
    const line = lines[key];
    const place = line === undefined ? -1 : placeAt(line, at);
    if (line === undefined) return;
    const value = place < 0 ? null : line.v[place];
    if (value === null) {
      parts.push(`${name} not in the log`);
      return;
    }
    const [least, most] = [line.lo?.[place], line.hi?.[place]].map((one) => (one == null ? null : show(one)));
    const range = least === null || least === most ? "" : ` (${least} to ${most})`;
    const peak = line.hi === undefined ? value : line.hi[place]!;
    const ofRating = limitW === undefined ? "" : `, ${formatLoading(peak / limitW)} of its rating`;
    parts.push(`${name} ${show(value)}${range}${ofRating}`);
  };
  add("L1", "l1W", formatKw, legLimitW);
  add("L2", "l2W", formatKw, legLimitW);
  add("load", "loadW", formatKw, totalLimitW);
  add(
    "battery",
    "batteryA",
    (value) => `${formatQuantity(Math.abs(value), "A", 1)} ${value < 0 ? "in" : "out"}`,
  );
  add("battery", "batteryW", (value) => `${formatKw(Math.abs(value))} ${value < 0 ? "in" : "out"}`);
  add("SOC", "socPct", (value) => formatQuantity(value, "%", 1));
  add("sun", "solarW", formatKw);
  add(
    "grid",
    "gridW",
    (value) => `${formatKw(Math.abs(value))}${value === 0 ? "" : value < 0 ? " out" : " in"}`,
  );
  const run = data.sources?.find((one) => one.fromMs <= atMs && atMs < one.toMs);
  if (run !== undefined) parts.push(sourceWords(run.source).toLowerCase());
  for (const event of data.events) {
    if (event.fromMs <= atMs && atMs < Math.max(event.toMs, event.fromMs + 1)) parts.push(event.text);
  }
  const mean = kind === "minutes" ? ", mean of the minute (least to greatest)" : "";
  return { where, what: `${where}${mean}: ${parts.join("; ")}.` };
}

/** The last point at or before a place on the axis; -1 before the first. */
function placeAt({ s }: Line, at: number): number {
  let low = 0;
  let high = s.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (s[middle] <= at) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}
