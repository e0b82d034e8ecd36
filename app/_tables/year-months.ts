import { clockOf } from "../../src/report/format";
import type { DaysAdded } from "../../src/report/months-of-days";
import { dayAtHref } from "../_format/day-address";
import { formatDuration } from "../_format/duration";
import { formatInstant, formatMonth, isoLocal } from "../_format/local-time";
import { formatLoading } from "../_format/percent";
import { formatKwh } from "../_format/power";
import { sharesPresent } from "./energy-by-day";
import type { Table } from "./table";

/** The months of a year, a row each, with the way to the month and to its greatest loading. */
export function yearMonths(months: readonly DaysAdded[], slug: string, timezone: string): Table<DaysAdded> {
  return {
    name: "months",
    caption: "Transfers, loading and energy, month by month",
    rows: months,
    columns: [
      {
        title: "Month",
        text: ({ month }) => formatMonth(month),
        value: ({ month }) => month,
        href: ({ month }) => `/sites/${slug}/${month}`,
      },
      {
        title: "Days with samples",
        numeric: true,
        text: ({ days }) => String(days),
        value: ({ days }) => days,
      },
      {
        title: "Transfers",
        numeric: true,
        text: ({ transfers }) => String(transfers),
        value: ({ transfers }) => transfers,
      },
      {
        title: "On utility",
        unit: "s",
        numeric: true,
        text: ({ onS }) => formatDuration(onS.utility),
        value: ({ onS }) => onS.utility,
      },
      {
        title: "Greatest loading",
        unit: "ratio",
        numeric: true,
        text: ({ peakLoading }) => formatLoading(peakLoading),
        value: ({ peakLoading }) => peakLoading,
      },
      {
        title: "At",
        text: ({ peakAtMs }) => formatInstant(peakAtMs, timezone, false),
        value: ({ peakAtMs }) => (peakAtMs === null ? null : isoLocal(peakAtMs, timezone)),
        href: ({ peakAtMs }) => (peakAtMs === null ? null : dayAtHref(slug, peakAtMs, clockOf(timezone))),
      },
      {
        title: "Load",
        unit: "kWh",
        numeric: true,
        text: ({ shares }) => formatKwh(shares.loadWh),
        value: ({ shares }) => shares.loadWh / 1000,
      },
      ...sharesPresent(months).map(({ key, title }) => ({
        title: `From ${title.toLowerCase()}`,
        unit: "kWh",
        numeric: true,
        text: ({ shares }: DaysAdded) => formatKwh(shares[key]),
        value: ({ shares }: DaysAdded) => shares[key] / 1000,
      })),
    ],
  };
}
