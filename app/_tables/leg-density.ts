import type { LegCell, LegDensity } from "../../src/analysis/leg-density";
import { formatDuration } from "../_format/duration";
import { formatKw } from "../_format/power";
import type { Table } from "./table";

/** Held time by the loads of both legs, a row a cell. */
export function legDensityTable({ cellW, cells }: Pick<LegDensity, "cellW" | "cells">): Table<LegCell> {
  const watts = (title: string, of: (row: LegCell) => number) => ({
    title,
    unit: "W",
    numeric: true,
    text: (row: LegCell) => `${formatKw(of(row))} to ${formatKw(of(row) + cellW)}`,
    value: of,
  });
  return {
    name: "leg-density",
    caption: `How long both legs carried what, in cells of ${cellW} W; a file has each cell’s lower edges`,
    rows: [...cells].sort((a, b) => a.l1W - b.l1W || a.l2W - b.l2W),
    columns: [
      watts("L1", ({ l1W }) => l1W),
      watts("L2", ({ l2W }) => l2W),
      {
        title: "Held",
        unit: "s",
        numeric: true,
        text: ({ heldS }) => formatDuration(heldS),
        value: ({ heldS }) => heldS,
      },
      {
        title: "On the inverter",
        unit: "s",
        numeric: true,
        text: ({ onInverterS }) => formatDuration(onInverterS),
        value: ({ onInverterS }) => onInverterS,
      },
    ],
  };
}
