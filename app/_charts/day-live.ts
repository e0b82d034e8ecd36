import { clockOf } from "../../src/report/format";
import { LEAST_STRETCH_MS, stretchHref } from "../_format/day-address";
import { dayPanelsOption } from "./day-panels";
import type { DayPicture, Line } from "./day-picture";
import type { Picture } from "./picture";
import { readDay } from "./read-day";

/** The picture of a day as it lives in the browser. */
export const picture: Picture<DayPicture> = {
  option: dayPanelsOption,
  stops: (data) => {
    const line = densest(data);
    // What ends the last line is no place to stand at.
    const lengthS = (data.toMs - data.fromMs) / 1000;
    return line === null ? [] : line.s.filter((s, at) => s < lengthS && (at === 0 || s > line.s[at - 1]));
  },
  readout: readDay,
  select: (data, from, to) => {
    const { slug, day, fromMs, toMs, timezone } = data;
    const [a, b] = [Math.min(from, to), Math.max(from, to)].map(
      (s) => Math.round((fromMs + s * 1000) / 1000) * 1000,
    );
    const [start, end] = [Math.max(a, fromMs), Math.min(b, toMs)];
    return end - start < LEAST_STRETCH_MS ? null : stretchHref(slug, day, start, end, clockOf(timezone));
  },
};

function densest({ lines }: DayPicture): Line | null {
  return Object.values(lines).reduce<Line | null>(
    (most, line) => (most === null || line.s.length > most.s.length ? line : most),
    null,
  );
}
