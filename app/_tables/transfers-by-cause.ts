import type { Transfer } from "../../src/analysis/results";
import { TRANSFER_CAUSES, type TransferCause } from "../../src/analysis/series";
import { formatDuration } from "../_format/duration";
import { causeTitle } from "../_format/words";
import type { Table } from "./table";

export type CauseRow = {
  cause: TransferCause;
  transfers: number;
  /** Of them: shown by the log itself. */
  seen: number;
  onUtilityS: number;
  /** Of any of them the log shows only a part. */
  lowerBound: boolean;
};

/** Transfers by cause, the most frequent first. */
export function transfersByCause(
  transfers: readonly Transfer[],
  hrefOf: (cause: TransferCause) => string | null = () => null,
): Table<CauseRow> {
  const rows = TRANSFER_CAUSES.map((cause): CauseRow => {
    const ofCause = transfers.filter((transfer) => transfer.cause === cause);
    return {
      cause,
      transfers: ofCause.length,
      seen: ofCause.filter(({ certainty }) => certainty === "seen").length,
      onUtilityS: ofCause.reduce((sum, { onUtilityS }) => sum + onUtilityS, 0),
      lowerBound: ofCause.some(({ lowerBound }) => lowerBound),
    };
  });
  return {
    name: "transfers-by-cause",
    caption: "Transfers by cause",
    rows: rows.filter((row) => row.transfers > 0).sort((a, b) => b.transfers - a.transfers),
    columns: [
      {
        title: "Cause",
        text: (row) => causeTitle(row.cause),
        value: (row) => row.cause,
        href: (row) => hrefOf(row.cause),
      },
      {
        title: "Transfers",
        numeric: true,
        text: (row) => String(row.transfers),
        value: (row) => row.transfers,
      },
      {
        title: "On utility",
        unit: "s",
        numeric: true,
        text: (row) => `${row.lowerBound ? "at least " : ""}${formatDuration(row.onUtilityS)}`,
        value: (row) => row.onUtilityS,
      },
      { title: "Seen in the log", numeric: true, text: (row) => String(row.seen), value: (row) => row.seen },
    ],
  };
}
