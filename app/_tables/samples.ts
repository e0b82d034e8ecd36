import { type FaultWord, NUMERIC_CHANNELS, type Series, SOURCES } from "../../src/analysis/series";
import { isoLocal, localTime } from "../_format/local-time";
import { formatNumber } from "../_format/number";
import { SOURCE_WORDS } from "../_format/words";
import type { Column, Table } from "./table";

/** A sample is its index in the series. */
export function samplesTable(
  series: Series,
  faultWords: readonly FaultWord[],
  timezone: string,
): Table<number> {
  const { timesMs, channels, sources, faults } = series;
  const columns: Column<number>[] = [
    {
      title: "Time",
      text: (at) => localTime(timesMs[at], timezone).clockWithSeconds,
      value: (at) => isoLocal(timesMs[at], timezone),
    },
  ];
  for (const channel of NUMERIC_CHANNELS) {
    const values = channels[channel];
    if (values === undefined || values.every(Number.isNaN)) continue;
    const decimals = /V$|A$|Hz$|C$/.test(channel) ? 1 : 0;
    columns.push({
      title: channel,
      numeric: true,
      text: (at) => formatNumber(values[at], decimals),
      value: (at) => (Number.isNaN(values[at]) ? null : Number(values[at].toPrecision(7))),
    });
  }
  if (sources !== null) {
    columns.push({
      title: "source",
      text: (at) => SOURCE_WORDS[SOURCES[sources[at]]],
      value: (at) => SOURCES[sources[at]],
    });
  }
  if (faults !== null) {
    const code = (at: number) => (faults[at] === 0 ? "" : (faultWords[faults[at] - 1]?.code ?? ""));
    columns.push({ title: "faultCode", text: code, value: code });
  }
  return {
    name: "samples",
    caption: "The samples of the log",
    rows: Array.from(timesMs, (_, at) => at),
    columns,
  };
}
