import type { SocHour } from "../../src/analysis/soc-by-hour";
import { formatNumber, formatQuantity } from "../_format/number";
import type { Column, Table } from "./table";

/** State of charge in each local clock hour. */
export function socByHourTable(hours: readonly SocHour[]): Table<SocHour> {
  const percent = (title: string, of: (row: SocHour) => number): Column<SocHour> => ({
    title,
    unit: "%",
    numeric: true,
    text: (row) => formatQuantity(of(row), "%", 0),
    value: of,
  });
  return {
    name: "state-of-charge-by-hour",
    caption: "State of charge by hour of the day",
    rows: hours,
    columns: [
      {
        title: "Hour from",
        text: ({ hour }) => `${String(hour).padStart(2, "0")}:00`,
        value: ({ hour }) => hour,
      },
      percent("Least", (row) => row.leastPct),
      percent("First quarter", (row) => row.q1Pct),
      percent("Median of the days", (row) => row.medianPct),
      percent("Third quarter", (row) => row.q3Pct),
      percent("Greatest", (row) => row.greatestPct),
      {
        title: "Days",
        numeric: true,
        text: ({ days }) => formatNumber(days),
        value: ({ days }) => days,
      },
    ],
  };
}
