import type { BalanceOfDay } from "../../db/queries/site-quality";
import { formatPercent } from "../_format/percent";
import { formatKwh } from "../_format/power";
import type { Table } from "./table";

/** What is left between supply and use, day by day. */
export function balanceByDay(rows: readonly BalanceOfDay[]): Table<BalanceOfDay> {
  const share = (row: BalanceOfDay) => (row.suppliedWh > 0 ? row.lossesWh / row.suppliedWh : null);
  return {
    name: "balance-by-day",
    caption: "Sun, battery and grid against load, charging and export, day by day",
    rows,
    columns: [
      { title: "Day", text: (row) => row.date, value: (row) => row.date },
      {
        title: "Supplied",
        unit: "kWh",
        numeric: true,
        text: (row) => formatKwh(row.suppliedWh),
        value: (row) => row.suppliedWh / 1000,
      },
      {
        title: "Left over",
        unit: "kWh",
        numeric: true,
        text: (row) => formatKwh(row.lossesWh),
        value: (row) => row.lossesWh / 1000,
      },
      {
        title: "Share",
        unit: "ratio",
        numeric: true,
        text: (row) => formatPercent(share(row), 1),
        value: share,
      },
    ],
  };
}
