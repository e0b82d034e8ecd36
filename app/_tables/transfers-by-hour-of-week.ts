import type { Transfer } from "../../src/analysis/results";
import { localTime, WEEKDAYS } from "../_format/local-time";
import type { Table } from "./table";

export type WeekdayRow = {
  /** 0 = Monday */
  weekday: number;
  /** Transfers that began in each of the 24 clock hours. */
  byHour: readonly number[];
};

/** How many transfers began in each clock hour of each weekday. */
export function transfersByHourOfWeek(transfers: readonly Transfer[], timezone: string): Table<WeekdayRow> {
  const counts = WEEKDAYS.map(() => new Array<number>(24).fill(0));
  for (const { atMs } of transfers) {
    const { weekday, hour } = localTime(atMs, timezone);
    counts[weekday][hour] += 1;
  }
  return {
    name: "transfers-by-hour-of-week",
    caption: "Transfers by weekday and hour of the day",
    rows: counts.map((byHour, weekday) => ({ weekday, byHour })),
    columns: [
      { title: "Weekday", text: (row) => WEEKDAYS[row.weekday], value: (row) => WEEKDAYS[row.weekday] },
      ...Array.from({ length: 24 }, (_, hour) => ({
        title: `${String(hour).padStart(2, "0")}:00`,
        numeric: true,
        text: (row: WeekdayRow) => String(row.byHour[hour]),
        value: (row: WeekdayRow) => row.byHour[hour],
      })),
    ],
  };
}
