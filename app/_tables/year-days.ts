import type { YearDay } from "../../db/queries/year-of-site";
import { dayHref } from "../_format/day-address";
import { formatDuration } from "../_format/duration";
import { isoLocal, localTime } from "../_format/local-time";
import { formatLoading, formatPercent } from "../_format/percent";
import { formatKwh } from "../_format/power";
import { QUANTITY_WORDS } from "../_format/words";
import type { Table } from "./table";

/** The days of a year, a row each: the table behind its calendar. */
export function yearDays(days: readonly YearDay[], slug: string, timezone: string): Table<YearDay> {
  return {
    name: "days",
    caption: "Greatest loading, transfers and energy of every day",
    rows: days,
    columns: [
      {
        title: "Day",
        text: (day) => day.date,
        value: (day) => day.date,
        href: (day) => dayHref(slug, day.date),
      },
      {
        title: "Greatest loading",
        unit: "ratio",
        numeric: true,
        text: (day) => formatLoading(day.peakLoading),
        value: (day) => day.peakLoading,
      },
      {
        title: "Of",
        text: (day) => (day.peakQuantity === null ? "–" : QUANTITY_WORDS[day.peakQuantity]),
        value: (day) => day.peakQuantity,
      },
      {
        title: "At",
        text: (day) => (day.peakAtMs === null ? "–" : localTime(day.peakAtMs, timezone).clockWithSeconds),
        value: (day) => (day.peakAtMs === null ? null : isoLocal(day.peakAtMs, timezone)),
      },
      {
        title: "Transfers",
        numeric: true,
        text: (day) => String(day.transfers),
        value: (day) => day.transfers,
      },
      { title: "Dropouts", numeric: true, text: (day) => String(day.dropouts), value: (day) => day.dropouts },
      {
        title: "On utility",
        unit: "s",
        numeric: true,
        text: (day) => formatDuration(day.onS.utility),
        value: (day) => day.onS.utility,
      },
      {
        title: "Load",
        unit: "kWh",
        numeric: true,
        text: (day) => formatKwh(day.shares.loadWh),
        value: (day) => day.shares.loadWh / 1000,
      },
      {
        title: "Covered",
        unit: "ratio",
        numeric: true,
        text: (day) => formatPercent(day.heldS / ((day.toMs - day.fromMs) / 1000)),
        value: (day) => day.heldS / ((day.toMs - day.fromMs) / 1000),
      },
    ],
  };
}
