import type { NumericChannel } from "../../src/analysis/series";
import { channelName } from "../../src/report/channel-name";
import { capital } from "../../src/report/format";
import { formatPercent } from "../_format/percent";
import type { Table } from "./table";

/** Coverage of one day: of each channel, by channel. */
export type CoverageRow = { date: string; coverage: Partial<Record<NumericChannel, number>> };

/** Part of each day that each channel of a logger has values for, a row a day. */
export function coverageByDayTable(
  logger: string,
  channels: readonly NumericChannel[],
  rows: readonly CoverageRow[],
): Table<CoverageRow> {
  return {
    name: `coverage-by-day-${logger}`,
    caption: `Coverage of each channel of ${logger}, day by day`,
    rows,
    columns: [
      { title: "Day", text: (row) => row.date, value: (row) => row.date },
      ...channels.map((channel) => ({
        title: capital(channelName(channel)),
        unit: "ratio",
        numeric: true,
        text: (row: CoverageRow) => formatPercent(row.coverage[channel] ?? 0, 1),
        value: (row: CoverageRow) => row.coverage[channel] ?? 0,
      })),
    ],
  };
}
