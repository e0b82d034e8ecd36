import type { Transfer } from "../../src/analysis/results";
import { certaintyName } from "../../src/report/cause-words";
import { formatDuration } from "../_format/duration";
import { isoLocal, localTime } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { causeTitle, QUANTITY_WORDS, TAG_WORDS } from "../_format/words";
import type { Table } from "./table";

/** Transfers one by one, with all that is said of each, as they stand on paper. */
export function transfersAppendix(transfers: readonly Transfer[], timezone: string): Table<Transfer> {
  const tags = ({ tags: given }: Transfer) =>
    given === null ? "–" : given.map((tag) => TAG_WORDS[tag]).join(", ");
  return {
    name: "transfers",
    caption: "Transfers, one by one",
    rows: transfers,
    columns: [
      {
        title: "At",
        text: ({ atMs }) => when(atMs, timezone),
        value: (row) => isoLocal(row.atMs, timezone),
      },
      {
        title: "Cause",
        text: (row) =>
          [
            causeTitle(row.cause),
            ...row.alsoHolds.map((cause) => `beside it ${causeTitle(cause).toLowerCase()}`),
          ].join(", "),
        value: (row) => row.cause,
      },
      { title: "Certainty", text: (row) => certaintyName(row.certainty), value: (row) => row.certainty },
      {
        title: "Loading",
        unit: "ratio",
        numeric: true,
        text: (row) =>
          row.limiting === null ? "–" : `${QUANTITY_WORDS[row.limiting]} ${formatLoading(row.peakLoading)}`,
        value: (row) => row.peakLoading,
      },
      {
        title: "On utility",
        unit: "s",
        numeric: true,
        text: (row) => `${row.lowerBound ? "at least " : ""}${formatDuration(row.onUtilityS)}`,
        value: (row) => row.onUtilityS,
      },
      { title: "What else", text: tags, value: tags },
    ],
  };
}

/** Day and time in one line that doesn't break; the report says the year. */
function when(atMs: number, timezone: string): string {
  const at = localTime(atMs, timezone);
  return `${at.shortDay}, ${at.clockWithSeconds}`.replaceAll(" ", "\u00a0");
}
