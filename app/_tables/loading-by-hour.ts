import type { HourResult, Transfer } from "../../src/analysis/results";
import { isoLocal, localTime } from "../_format/local-time";
import { formatLoading, formatPercent } from "../_format/percent";
import { QUANTITY_WORDS } from "../_format/words";
import type { Table } from "./table";

export type LoadingHour = HourResult & { transfers: readonly Transfer[] };

/** Every hour with the transfers that began in it. Both lists ascend in time. */
export function loadingHours(hours: readonly HourResult[], transfers: readonly Transfer[]): LoadingHour[] {
  let next = 0;
  return hours.map((hour) => {
    while (next < transfers.length && transfers[next].atMs < hour.fromMs) next += 1;
    const first = next;
    while (next < transfers.length && transfers[next].atMs < hour.toMs) next += 1;
    return { ...hour, transfers: transfers.slice(first, next) };
  });
}

/** The table behind the loading calendar. */
export function loadingByHour(
  hours: readonly HourResult[],
  transfers: readonly Transfer[],
  timezone: string,
): Table<LoadingHour> {
  return {
    name: "loading-by-hour",
    caption: "Greatest loading of every hour, and the transfers that began in it",
    rows: loadingHours(hours, transfers),
    columns: [
      {
        title: "Hour",
        text: (hour) => {
          const at = localTime(hour.fromMs, timezone);
          return `${at.day}, ${at.clock} ${at.zone}`;
        },
        value: (hour) => isoLocal(hour.fromMs, timezone),
      },
      {
        title: "Greatest loading",
        unit: "ratio",
        numeric: true,
        text: (hour) => formatLoading(hour.peakLoading),
        value: (hour) => hour.peakLoading,
      },
      {
        title: "Of",
        text: (hour) => (hour.peakQuantity === null ? "–" : QUANTITY_WORDS[hour.peakQuantity]),
        value: (hour) => hour.peakQuantity,
      },
      {
        title: "At",
        text: (hour) => (hour.peakAtMs === null ? "–" : localTime(hour.peakAtMs, timezone).clockWithSeconds),
        value: (hour) => (hour.peakAtMs === null ? null : isoLocal(hour.peakAtMs, timezone)),
      },
      {
        title: "Transfers",
        numeric: true,
        text: (hour) => String(hour.transfers.length),
        value: (hour) => hour.transfers.length,
      },
      {
        title: "Covered",
        unit: "s",
        numeric: true,
        text: (hour) => formatPercent(hour.heldS / ((hour.toMs - hour.fromMs) / 1000)),
        value: (hour) => hour.heldS,
      },
    ],
  };
}
