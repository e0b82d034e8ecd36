import { type FaultWord, NUMERIC_CHANNELS, type Series, SOURCES } from "../../src/analysis/series";
import { decimalsOf } from "../_format/decimals-of";
import { isoLocal, localTime } from "../_format/local-time";
import { formatNumber } from "../_format/number";
import { SOURCE_WORDS } from "../_format/words";
import { CHANNEL_HEADINGS } from "./channel-headings";
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
    const { title, unit, decimals: usual } = CHANNEL_HEADINGS[channel];
    const decimals = decimalsOf(values) ?? usual;
    columns.push({
      title,
      unit,
      unitShown: true,
      inFile: channel,
      numeric: true,
      text: (at) => formatNumber(values[at], decimals),
      value: (at) => (Number.isNaN(values[at]) ? null : Number(values[at].toPrecision(7))),
    });
  }
  if (sources !== null) {
    columns.push({
      title: "Source",
      inFile: "source",
      text: (at) => SOURCE_WORDS[SOURCES[sources[at]]],
      value: (at) => SOURCES[sources[at]],
    });
  }
  if (faults !== null) {
    const code = (at: number) => (faults[at] === 0 ? "" : (faultWords[faults[at] - 1]?.code ?? ""));
    columns.push({ title: "Fault code", inFile: "faultCode", text: code, value: code });
  }
  return {
    name: "samples",
    caption: "The samples of the log",
    rows: Array.from(timesMs, (_, at) => at),
    columns,
  };
}
