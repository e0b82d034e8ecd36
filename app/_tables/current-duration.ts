import type { CurrentStep } from "../../src/analysis/current-duration";
import { formatDuration } from "../_format/duration";
import { formatNumber, UNIT_SPACE } from "../_format/number";
import type { Column, Table } from "./table";

/** How long the battery gave or took each current, in steps. */
export function currentDurationTable(steps: readonly CurrentStep[]): Table<CurrentStep> {
  const seconds = (title: string, of: (row: CurrentStep) => number): Column<CurrentStep> => ({
    title,
    unit: "s",
    numeric: true,
    text: (row) => (of(row) > 0 ? formatDuration(of(row)) : "–"),
    value: of,
  });
  return {
    name: "battery-current",
    caption: "Time by battery current",
    rows: steps,
    columns: [
      {
        title: "Current from",
        unit: "A",
        text: ({ fromA, toA }) => `${formatNumber(fromA)} to ${formatNumber(toA)}${UNIT_SPACE}A`,
        value: ({ fromA }) => fromA,
      },
      seconds("Discharging", (row) => row.dischargeS),
      seconds("Discharging, that or more", (row) => row.dischargeAtLeastS),
      seconds("Charging", (row) => row.chargeS),
      seconds("Charging, that or more", (row) => row.chargeAtLeastS),
    ],
  };
}
