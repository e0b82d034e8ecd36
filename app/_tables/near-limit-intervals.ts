import type { NearLimitInterval, Quantity } from "../../src/analysis/results";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { formatQuantity } from "../_format/number";
import { formatLoading } from "../_format/percent";
import { formatKw } from "../_format/power";
import { QUANTITY_WORDS } from "../_format/words";
import type { Table } from "./table";

export type QuantityRow = {
  quantity: Quantity;
  intervals: number;
  durationS: number;
  overLimitS: number;
  peakLoading: number;
  longestS: number;
};

/** Near-limit intervals by what was near its limit, in the order L1, L2, total, pass-through. */
export function nearLimitByQuantity(intervals: readonly NearLimitInterval[]): Table<QuantityRow> {
  const rows = (["L1", "L2", "total", "pass-through"] as const)
    .map((quantity) => intervals.filter((interval) => interval.quantity === quantity))
    .filter((ofQuantity) => ofQuantity.length > 0)
    .map((ofQuantity) => ({
      quantity: ofQuantity[0].quantity,
      intervals: ofQuantity.length,
      durationS: ofQuantity.reduce((sum, { durationS }) => sum + durationS, 0),
      overLimitS: ofQuantity.reduce((sum, { overLimitS }) => sum + overLimitS, 0),
      peakLoading: ofQuantity.reduce((peak, { peakLoading }) => Math.max(peak, peakLoading), 0),
      longestS: ofQuantity.reduce((longest, { durationS }) => Math.max(longest, durationS), 0),
    }));
  return {
    name: "near-limit-by-leg",
    caption: "Time near the limit, by leg",
    rows,
    columns: [
      { title: "Rating", text: (row) => QUANTITY_WORDS[row.quantity], value: (row) => row.quantity },
      {
        title: "Intervals",
        numeric: true,
        text: (row) => String(row.intervals),
        value: (row) => row.intervals,
      },
      duration("Near the limit", (row) => row.durationS),
      duration("Of it above", (row) => row.overLimitS),
      duration("Longest", (row) => row.longestS),
      {
        title: "Greatest loading",
        unit: "ratio",
        numeric: true,
        text: (row) => formatLoading(row.peakLoading),
        value: (row) => row.peakLoading,
      },
    ],
  };

  function duration(title: string, of: (row: QuantityRow) => number) {
    return {
      title,
      unit: "s",
      numeric: true,
      text: (row: QuantityRow) => formatDuration(of(row)),
      value: of,
    };
  }
}

/** Every near-limit interval, a row each. */
export function nearLimitIntervals<Interval extends NearLimitInterval>(
  intervals: readonly Interval[],
  timezone: string,
): Table<Interval> {
  return {
    name: "near-limit-intervals",
    caption: "Every interval near the limit",
    rows: intervals,
    columns: [
      {
        title: "From",
        text: (row) => formatInstant(row.fromMs, timezone),
        value: (row) => isoLocal(row.fromMs, timezone),
      },
      { title: "Rating", text: (row) => QUANTITY_WORDS[row.quantity], value: (row) => row.quantity },
      {
        title: "Lasted",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration(row.durationS),
        value: (row) => row.durationS,
      },
      {
        title: "Greatest",
        unit: "W; pass-through A",
        numeric: true,
        text: (row) => (row.peakW === null ? formatQuantity(row.peakA, "A") : formatKw(row.peakW)),
        value: (row) => row.peakW ?? row.peakA,
      },
      {
        title: "Loading",
        unit: "ratio",
        numeric: true,
        text: (row) => formatLoading(row.peakLoading),
        value: (row) => row.peakLoading,
      },
      {
        title: "Above the limit",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration(row.overLimitS),
        value: (row) => row.overLimitS,
      },
      {
        title: "On inverter",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration(row.onInverterS),
        value: (row) => row.onInverterS,
      },
    ],
  };
}
