import type { LoadDuration } from "../../src/analysis/load-duration";
import { formatPercent } from "../_format/percent";
import { formatKw } from "../_format/power";
import type { Column, Table } from "./table";

/** One curve of load over time with the rating that stands beside it, W. */
export type DurationRow = { title: string; exceededW: readonly number[]; limitW: number };

/** Shares of the time that the page shows; the file has the whole curve. */
const SHOWN_SHARES = [0, 0.01, 0.05, 0.1, 0.5];

/** The load of each leg and in all that is reached or exceeded for a few shares of the time, beside the rating. */
export function loadDurationByLeg(
  curves: LoadDuration,
  limits: { legLimitW: number; totalLimitW: number },
): Table<DurationRow> {
  const row = (title: string, curve: LoadDuration["total"], limitW: number): DurationRow[] =>
    curve === null ? [] : [{ title, exceededW: curve.exceededW, limitW }];
  const shown = SHOWN_SHARES.map((share) => curves.shares.indexOf(share)).filter((at) => at >= 0);
  return {
    name: "load-duration-by-leg",
    caption: "Load that is reached or exceeded for a part of the time, beside the rating",
    rows: [
      ...row("L1", curves.l1, limits.legLimitW),
      ...row("L2", curves.l2, limits.legLimitW),
      ...row("Total", curves.total, limits.totalLimitW),
    ],
    columns: [
      { title: "Load", text: ({ title }) => title, value: ({ title }) => title },
      ...shown.map(
        (at): Column<DurationRow> => ({
          title: curves.shares[at] === 0 ? "Greatest" : `${formatPercent(curves.shares[at])} of the time`,
          unit: "W",
          numeric: true,
          text: ({ exceededW }) => formatKw(exceededW[at]),
          value: ({ exceededW }) => exceededW[at],
        }),
      ),
      {
        title: "Rating",
        unit: "W",
        numeric: true,
        text: ({ limitW }) => formatKw(limitW),
        value: ({ limitW }) => limitW,
      },
    ],
  };
}

/** The whole load-duration curves; a row is the index of a share. */
export function loadDurationCurve(curves: LoadDuration): Table<number> {
  const load = (title: string, curve: LoadDuration["total"]): Column<number>[] =>
    curve === null
      ? []
      : [
          {
            title,
            unit: "W",
            numeric: true,
            text: (at) => formatKw(curve.exceededW[at]),
            value: (at) => curve.exceededW[at],
          },
        ];
  return {
    name: "load-duration",
    caption: "Load that is reached or exceeded, by the part of the time",
    rows: curves.shares.map((_, at) => at),
    columns: [
      {
        title: "Part of the time",
        unit: "ratio",
        text: (at) => formatPercent(curves.shares[at], at < curves.shares.indexOf(0.01) ? 2 : 0),
        value: (at) => curves.shares[at],
      },
      ...load("L1", curves.l1),
      ...load("L2", curves.l2),
      ...load("Total", curves.total),
    ],
  };
}
