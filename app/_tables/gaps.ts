import type { Gap } from "../../src/analysis/results";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import type { Table } from "./table";

/** Holes of a site's samples. */
export function gapsTable(rows: readonly Gap[], timezone: string): Table<Gap> {
  return {
    name: "gaps",
    caption: "Gaps of the samples",
    rows,
    columns: [
      {
        title: "From",
        text: (row) => formatInstant(row.fromMs, timezone),
        value: (row) => isoLocal(row.fromMs, timezone),
      },
      {
        title: "To",
        text: (row) => formatInstant(row.toMs, timezone),
        value: (row) => isoLocal(row.toMs, timezone),
      },
      {
        title: "Lasts",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration((row.toMs - row.fromMs) / 1000),
        value: (row) => (row.toMs - row.fromMs) / 1000,
      },
    ],
  };
}
