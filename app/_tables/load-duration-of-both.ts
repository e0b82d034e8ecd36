import type { LoadDuration } from "../../src/analysis/load-duration";
import type { PeriodNames } from "../../src/report/comparison-words";
import { formatPercent } from "../_format/percent";
import { formatKw } from "../_format/power";
import type { Column, Table } from "./table";

/** The load-duration curves of two periods side by side; a row is the index of a share of the time. */
export function loadDurationOfBoth(
  before: LoadDuration | null,
  after: LoadDuration | null,
  names: PeriodNames,
): Table<number> {
  const shares = (before ?? after)?.shares ?? [];
  const load = (of: LoadDuration | null, key: "l1" | "l2" | "total", title: string): Column<number>[] => {
    const curve = of?.[key] ?? null;
    if (curve === null) return [];
    return [
      {
        title,
        unit: "W",
        numeric: true,
        text: (at) => formatKw(curve.exceededW[at]),
        value: (at) => curve.exceededW[at],
      },
    ];
  };
  return {
    name: "load-duration",
    caption: "Load that is reached or exceeded, by the part of the time, in both periods",
    rows: shares.map((_, at) => at),
    columns: [
      {
        title: "Part of the time",
        unit: "ratio",
        text: (at) => formatPercent(shares[at], at < shares.indexOf(0.01) ? 2 : 0),
        value: (at) => shares[at],
      },
      ...(["l1", "l2", "total"] as const).flatMap((key) => {
        const title = key === "total" ? "Total" : key.toUpperCase();
        return [
          ...load(before, key, `${title}, ${names.before}`),
          ...load(after, key, `${title}, ${names.after}`),
        ];
      }),
    ],
  };
}
