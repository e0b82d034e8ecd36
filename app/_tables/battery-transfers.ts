import type { Evidence } from "../../src/analysis/evidence";
import type { Transfer } from "../../src/analysis/results";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { formatQuantity } from "../_format/number";
import { causeTitle } from "../_format/words";
import type { Column, Table } from "./table";

/** Transfers for which the battery was the reason, with how full it was. */
export function batteryTransfersTable(
  transfers: readonly Transfer[],
  timezone: string,
  hrefOf: (transfer: Transfer) => string | null = () => null,
): Table<Transfer> {
  const figure = (
    title: string,
    unit: string,
    decimals: number,
    code: Evidence["code"],
    name: string,
  ): Column<Transfer> => {
    const of = (row: Transfer): number | null => {
      const found = row.evidence.find((one) => one.code === code);
      const value = (found?.figures as { readonly [figure: string]: unknown } | undefined)?.[name];
      return typeof value === "number" ? value : null;
    };
    return { title, unit, numeric: true, text: (row) => formatQuantity(of(row), unit, decimals), value: of };
  };
  return {
    name: "battery-transfers",
    caption: "Transfers for a low battery or at its current limit",
    rows: transfers,
    columns: [
      {
        title: "At",
        text: (row) => formatInstant(row.atMs, timezone),
        value: (row) => isoLocal(row.atMs, timezone),
        href: hrefOf,
      },
      { title: "Cause", text: (row) => causeTitle(row.cause), value: (row) => row.cause },
      figure("State of charge", "%", 0, "low-soc", "batterySocPct"),
      figure("Voltage", "V", 1, "low-volts", "batteryV"),
      figure("Current", "A", 0, "dc-current", "batteryA"),
      {
        title: "On utility",
        unit: "s",
        numeric: true,
        text: (row) => `${row.lowerBound ? "at least " : ""}${formatDuration(row.onUtilityS)}`,
        value: (row) => row.onUtilityS,
      },
      figure("State of charge at the return", "%", 0, "battery-at-return", "returnSocPct"),
    ],
  };
}
