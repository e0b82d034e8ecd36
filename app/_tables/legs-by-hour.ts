import type { LegHour } from "../../src/analysis/demand";
import { formatDuration } from "../_format/duration";
import { formatKw } from "../_format/power";
import type { Table } from "./table";

/** Mean load of each leg by local hour of the day, a row an hour. */
export function legsByHour(hours: readonly LegHour[]): Table<LegHour> {
  const two = (hour: number) => String(hour).padStart(2, "0");
  return {
    name: "legs-by-hour",
    caption: "Mean load of each leg by hour of the day, over the time it is known",
    rows: hours,
    columns: [
      {
        title: "Hour",
        text: ({ hour }) => `${two(hour)}:00 to ${two(hour + 1)}:00`,
        value: ({ hour }) => hour,
      },
      { title: "L1", unit: "W", numeric: true, text: ({ l1W }) => formatKw(l1W), value: ({ l1W }) => l1W },
      { title: "L2", unit: "W", numeric: true, text: ({ l2W }) => formatKw(l2W), value: ({ l2W }) => l2W },
      {
        title: "L1 − L2",
        unit: "W",
        numeric: true,
        text: (row) => formatKw(differenceOf(row)),
        value: differenceOf,
      },
      {
        title: "L1 known for",
        unit: "s",
        numeric: true,
        text: ({ l1HeldS }) => formatDuration(l1HeldS),
        value: ({ l1HeldS }) => l1HeldS,
      },
      {
        title: "L2 known for",
        unit: "s",
        numeric: true,
        text: ({ l2HeldS }) => formatDuration(l2HeldS),
        value: ({ l2HeldS }) => l2HeldS,
      },
    ],
  };
}

function differenceOf({ l1W, l2W }: LegHour): number | null {
  return l1W === null || l2W === null ? null : l1W - l2W;
}
