import type { Dropout } from "../../src/analysis/results";
import { certaintyName } from "../../src/report/cause-words";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { causeTitle } from "../_format/words";
import type { Table } from "./table";

/** Dropouts, a row each. */
export function dropoutsTable(dropouts: readonly Dropout[], timezone: string): Table<Dropout> {
  return {
    name: "dropouts",
    caption: "Dropouts: the loads lost supply",
    rows: dropouts,
    columns: [
      {
        title: "At",
        text: (row) => formatInstant(row.atMs, timezone),
        value: (row) => isoLocal(row.atMs, timezone),
      },
      { title: "Cause", text: (row) => causeTitle(row.cause), value: (row) => row.cause },
      { title: "Certainty", text: (row) => certaintyName(row.certainty), value: (row) => row.certainty },
      {
        title: "Dead for",
        unit: "s",
        numeric: true,
        text: (row) => `${row.lowerBound ? "at least " : ""}${formatDuration(row.deadS)}`,
        value: (row) => row.deadS,
      },
      {
        title: "Supply back",
        text: (row) => (row.endedAtMs === null ? "not in the log" : formatInstant(row.endedAtMs, timezone)),
        value: (row) => (row.endedAtMs === null ? null : isoLocal(row.endedAtMs, timezone)),
      },
    ],
  };
}
