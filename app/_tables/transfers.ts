import type { Transfer } from "../../src/analysis/results";
import { certaintyName } from "../../src/report/cause-words";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { causeTitle, QUANTITY_WORDS, TAG_WORDS } from "../_format/words";
import type { Table } from "./table";

/** Transfers, a row each, as they are given. */
export function transfersTable(
  transfers: readonly Transfer[],
  timezone: string,
  hrefOf: (transfer: Transfer) => string | null = () => null,
): Table<Transfer> {
  return {
    name: "transfers",
    caption: "Transfers to the utility",
    rows: transfers,
    columns: [
      {
        title: "At",
        text: (row) => formatInstant(row.atMs, timezone),
        value: (row) => isoLocal(row.atMs, timezone),
        href: hrefOf,
      },
      { title: "Cause", text: (row) => causeTitle(row.cause), value: (row) => row.cause },
      { title: "Certainty", text: (row) => certaintyName(row.certainty), value: (row) => row.certainty },
      {
        title: "Fullest",
        text: (row) => (row.limiting === null ? "–" : QUANTITY_WORDS[row.limiting]),
        value: (row) => row.limiting,
      },
      {
        title: "Loading",
        unit: "ratio",
        numeric: true,
        text: (row) => formatLoading(row.peakLoading),
        value: (row) => row.peakLoading,
      },
      {
        title: "On utility",
        unit: "s",
        numeric: true,
        text: (row) => `${row.lowerBound ? "at least " : ""}${formatDuration(row.onUtilityS)}`,
        value: (row) => row.onUtilityS,
      },
      {
        title: "Tags",
        text: (row) => (row.tags ?? []).map((tag) => TAG_WORDS[tag].toLowerCase()).join(", "),
        value: (row) => (row.tags ?? []).join(" "),
      },
    ],
  };
}
