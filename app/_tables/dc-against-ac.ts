import type { PowerPoint } from "../../src/analysis/battery-power";
import { formatDuration } from "../_format/duration";
import { formatKw } from "../_format/power";
import type { Column, Table } from "./table";

/** Mean battery power at each step of AC power, on inverter without sun. */
export function dcAgainstAcTable(points: readonly PowerPoint[]): Table<PowerPoint> {
  const watts = (title: string, of: (row: PowerPoint) => number, numeric = true): Column<PowerPoint> => ({
    title,
    unit: "W",
    numeric,
    text: (row) => formatKw(of(row)),
    value: of,
  });
  return {
    name: "dc-against-ac",
    caption: "Battery power by AC power, on inverter without sun",
    rows: points,
    columns: [
      watts("AC power, mean", (row) => row.acW, false),
      watts("From the battery, mean", (row) => row.dcW),
      watts("Standard deviation", (row) => row.dcSdW),
      {
        title: "Held for",
        unit: "s",
        numeric: true,
        text: (row) => formatDuration(row.heldS),
        value: (row) => row.heldS,
      },
    ],
  };
}
