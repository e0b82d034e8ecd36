import { type SiteStretch, STRETCH_CHANNELS } from "../../db/queries/stretch-of-site";
import { isoLocal, localTime } from "../_format/local-time";
import { formatNumber } from "../_format/number";
import { SOURCE_WORDS } from "../_format/words";
import { CHANNEL_HEADINGS } from "./channel-headings";
import type { Column, Table } from "./table";

/** The values behind a day's picture: its samples, or its minutes with mean, least and greatest. A row is its index. */
export function dayValues(stretch: SiteStretch, timezone: string): Table<number> {
  const { timesMs, kind, channels, sources } = stretch;
  const columns: Column<number>[] = [
    {
      title: "Time",
      text: (at) => {
        const time = localTime(timesMs[at], timezone);
        return kind === "minutes" ? time.clock : time.clockWithSeconds;
      },
      value: (at) => isoLocal(timesMs[at], timezone),
    },
  ];
  const add = (title: string, unit: string, decimals: number, values: Float64Array) =>
    columns.push({
      title,
      unit,
      unitShown: true,
      numeric: true,
      text: (at) => formatNumber(values[at], decimals),
      value: (at) => (Number.isNaN(values[at]) ? null : Number(values[at].toPrecision(7))),
    });
  for (const channel of STRETCH_CHANNELS) {
    const { title, unit, decimals } = CHANNEL_HEADINGS[channel];
    const column = channels[channel];
    if (column === undefined || column.mean.every(Number.isNaN)) continue;
    add(kind === "minutes" ? `${title} mean` : title, unit, decimals, column.mean);
    if (kind === "minutes") {
      add(`${title} least`, unit, decimals, column.min);
      add(`${title} greatest`, unit, decimals, column.max);
    }
  }
  if (sources !== null) {
    let run = 0;
    const sourceOf = Array.from(timesMs, (atMs) => {
      while (run < sources.length - 1 && sources[run].toMs <= atMs) run += 1;
      return sources[run].source;
    });
    columns.push({
      title: "Source",
      text: (at) => (sourceOf[at] === "gap" ? "–" : SOURCE_WORDS[sourceOf[at]]),
      value: (at) => (sourceOf[at] === "gap" ? null : sourceOf[at]),
    });
  }
  return {
    name: kind === "minutes" ? "minutes" : "samples",
    caption: kind === "minutes" ? "The minutes drawn, in W, A and %" : "The samples drawn, in W, A and %",
    rows: Array.from(timesMs, (_, at) => at),
    columns,
  };
}
