import type { Evidenced, ImbalanceInterval } from "../../src/analysis/results";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { formatKw } from "../_format/power";
import type { Table } from "./table";

/** Every stretch in which the legs differed far and long, a row each. */
export function imbalanceIntervals(
  intervals: readonly Evidenced<ImbalanceInterval>[],
  timezone: string,
): Table<Evidenced<ImbalanceInterval>> {
  return {
    name: "imbalance-intervals",
    caption: "Every interval of imbalance",
    rows: intervals,
    columns: [
      {
        title: "From",
        text: (row) => formatInstant(row.fromMs, timezone),
        value: (row) => isoLocal(row.fromMs, timezone),
      },
      {
        title: "Lasted",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration(row.durationS),
        value: (row) => row.durationS,
      },
      { title: "Heavier", text: (row) => row.heavierLeg, value: (row) => row.heavierLeg },
      {
        title: "Greatest difference",
        unit: "W",
        numeric: true,
        text: (row) => formatKw(row.maxDifferenceW),
        value: (row) => row.maxDifferenceW,
      },
      {
        title: "At",
        text: (row) => formatInstant(row.maxDifferenceAtMs, timezone),
        value: (row) => isoLocal(row.maxDifferenceAtMs, timezone),
      },
    ],
  };
}
