import type { DayResults } from "../../db/queries/day-results";
import type { LocalClock } from "../../src/analysis/local-time";
import type { DayEvent } from "../_charts/day-picture";
import { type DayBounds, stretchHref } from "../_format/day-address";
import { formatDuration } from "../_format/duration";
import { isoLocal, localTime } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { formatKw } from "../_format/power";
import { transferId } from "../_format/transfer-id";
import { causeTitle, QUANTITY_WORDS } from "../_format/words";
import type { Table } from "./table";

/** One event of a day, as its row and its mark say it. */
export type DayEventRow = DayEvent & {
  what: string;
  why: string;
  /** Loading, or the greatest difference of the legs. */
  greatest: string;
  loading: number | null;
  differenceW: number | null;
  durationS: number;
  lowerBound: boolean;
  /** Address of the day's part around it. */
  stretchHref: string;
};

/** Events of a day in order of time: transfers, dropouts, stretches near a limit and of imbalance. */
export function dayEvents(
  slug: string,
  {
    transfers,
    dropouts,
    nearLimit,
    figures,
  }: Pick<DayResults, "transfers" | "dropouts" | "nearLimit" | "figures">,
  day: DayBounds,
  clock: LocalClock,
): DayEventRow[] {
  const around = (fromMs: number, toMs: number) => {
    const sideMs = Math.max(120_000, Math.round((toMs - fromMs) / 4000) * 1000);
    return stretchHref(
      slug,
      day,
      Math.max(day.fromMs, fromMs - sideMs),
      Math.min(day.toMs, toMs + sideMs),
      clock,
    );
  };
  const rows: DayEventRow[] = [
    ...transfers.map((transfer): DayEventRow => {
      const { atMs, onUtilityS, lowerBound, cause, peakLoading, to } = transfer;
      const toMs = atMs + onUtilityS * 1000;
      return {
        kind: "transfer",
        fromMs: atMs,
        toMs,
        text: `transfer: ${causeTitle(cause).toLowerCase()}`,
        href: `/sites/${slug}/transfers/${transferId(atMs)}`,
        what: `Transfer to the ${to}`,
        why: causeTitle(cause),
        greatest: formatLoading(peakLoading),
        loading: peakLoading,
        differenceW: null,
        durationS: onUtilityS,
        lowerBound,
        stretchHref: around(atMs, toMs),
      };
    }),
    ...dropouts.map(({ atMs, deadS, lowerBound, cause, peakLoading }): DayEventRow => {
      const href = around(atMs, atMs + deadS * 1000);
      return {
        kind: "dropout",
        fromMs: atMs,
        toMs: atMs + deadS * 1000,
        text: `dropout: ${causeTitle(cause).toLowerCase()}`,
        href,
        what: "Dropout",
        why: causeTitle(cause),
        greatest: formatLoading(peakLoading),
        loading: peakLoading,
        differenceW: null,
        durationS: deadS,
        lowerBound,
        stretchHref: href,
      };
    }),
    ...nearLimit.map(({ fromMs, toMs, quantity, peakLoading, durationS }): DayEventRow => {
      const href = around(fromMs, toMs);
      return {
        kind: "near-limit",
        quantity,
        fromMs,
        toMs,
        text: `${QUANTITY_WORDS[quantity]} near its limit`,
        href,
        what: `${QUANTITY_WORDS[quantity]} near its limit`,
        why: "",
        greatest: formatLoading(peakLoading),
        loading: peakLoading,
        differenceW: null,
        durationS,
        lowerBound: false,
        stretchHref: href,
      };
    }),
    ...(figures.imbalance?.intervals ?? []).map((interval): DayEventRow => {
      const { fromMs, toMs, durationS, maxDifferenceW, heavierLeg } = interval;
      const href = around(fromMs, toMs);
      return {
        kind: "imbalance",
        fromMs,
        toMs,
        text: "the legs differ far",
        href,
        what: "The legs differ far and long",
        why: `${heavierLeg} the heavier`,
        greatest: formatKw(maxDifferenceW),
        loading: null,
        differenceW: maxDifferenceW,
        durationS,
        lowerBound: false,
        stretchHref: href,
      };
    }),
  ];
  return rows.sort((a, b) => a.fromMs - b.fromMs || ORDER[a.kind] - ORDER[b.kind]);
}

const ORDER = { transfer: 0, dropout: 1, "near-limit": 2, imbalance: 3 } as const;

/** The events as a table; what has a sheet of its own leads there, the rest to the day's part around it. */
export function dayEventsTable(rows: readonly DayEventRow[], timezone: string): Table<DayEventRow> {
  // Of a log at whole minutes the seconds would be zeros.
  const seconds = rows.some(({ fromMs }) => fromMs % 60_000 !== 0);
  return {
    name: "events",
    caption: "What happened on the day, in order of time",
    rows,
    columns: [
      {
        title: "From",
        text: (row) => localTime(row.fromMs, timezone)[seconds ? "clockWithSeconds" : "clock"],
        value: (row) => isoLocal(row.fromMs, timezone),
        href: (row) => row.stretchHref,
      },
      {
        title: "What",
        text: (row) => row.what,
        value: (row) => row.kind,
        href: (row) => (row.kind === "transfer" ? row.href : null),
      },
      {
        title: "Cause or leg",
        text: (row) => row.why || "–",
        value: (row) => row.why || (row.quantity ?? null),
      },
      {
        title: "Loading or difference",
        numeric: true,
        text: (row) => row.greatest,
        value: (row) => row.loading ?? row.differenceW,
      },
      {
        title: "Lasted",
        unit: "s",
        numeric: true,
        text: (row) => `${row.lowerBound ? "at least " : ""}${formatDuration(row.durationS)}`,
        value: (row) => row.durationS,
      },
    ],
  };
}
