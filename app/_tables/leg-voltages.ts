import type { VoltageBins } from "../../src/analysis/leg-figures";
import type { LegVoltage, LegVoltageFigures } from "../../src/analysis/leg-voltage";
import { formatDuration } from "../_format/duration";
import { formatInstant, isoLocal } from "../_format/local-time";
import { formatNumber, formatQuantity } from "../_format/number";
import { formatPercent } from "../_format/percent";
import { SOURCE_WORDS } from "../_format/words";
import type { Table } from "./table";

/** A leg with the figures of its voltage. */
export type LegVoltageRow = LegVoltageFigures & { leg: "L1" | "L2" };

/** Range of each leg's voltage, time outside the service range and sag, a row a leg. */
export function legVoltageByLeg(voltage: LegVoltage, timezone: string): Table<LegVoltageRow> {
  const volts = (value: number | null) => formatQuantity(value, "V", 1);
  const row = (leg: "L1" | "L2", figures: LegVoltageFigures | null) =>
    figures === null ? [] : [{ leg, ...figures }];
  return {
    name: "leg-voltage-by-leg",
    caption: "Range of each leg’s voltage, and how it goes with the leg’s load",
    rows: [...row("L1", voltage.l1), ...row("L2", voltage.l2)],
    columns: [
      { title: "Leg", text: ({ leg }) => leg, value: ({ leg }) => leg },
      {
        title: "Least",
        unit: "V",
        numeric: true,
        text: ({ minV }) => volts(minV),
        value: ({ minV }) => minV,
      },
      {
        title: "at",
        text: ({ minAtMs }) => formatInstant(minAtMs, timezone, false),
        value: ({ minAtMs }) => isoLocal(minAtMs, timezone),
      },
      {
        title: "Greatest",
        unit: "V",
        numeric: true,
        text: ({ maxV }) => volts(maxV),
        value: ({ maxV }) => maxV,
      },
      {
        title: "at ",
        text: ({ maxAtMs }) => formatInstant(maxAtMs, timezone, false),
        value: ({ maxAtMs }) => isoLocal(maxAtMs, timezone),
      },
      {
        title: "Below the range",
        unit: "s",
        numeric: true,
        text: ({ belowS }) => formatDuration(belowS),
        value: ({ belowS }) => belowS,
      },
      {
        title: "Above it",
        unit: "s",
        numeric: true,
        text: ({ aboveS }) => formatDuration(aboveS),
        value: ({ aboveS }) => aboveS,
      },
      {
        title: "By a kW more load",
        text: ({ sag }) =>
          sag
            .map(
              ({ source, voltsPerKw }) =>
                `${formatQuantity(voltsPerKw, "V", 2)} ${SOURCE_WORDS[source].toLowerCase()}`,
            )
            .join(", ") || "–",
        value: ({ sag }) => sag.map(({ source, voltsPerKw }) => `${source} ${voltsPerKw}`).join("; "),
      },
    ],
  };
}

/** One bin of voltage with the share of each leg's samples in it; null where the leg has none at all. */
export type VoltageRow = { volts: number; l1: number | null; l2: number | null };

/** How often each leg's voltage lies where, a row a bin with any sample. */
export function legVoltages({ binV, l1, l2 }: VoltageBins): Table<VoltageRow> {
  const rows = new Map<number, VoltageRow>();
  const empty = (volts: number): VoltageRow => ({
    volts,
    l1: l1.length === 0 ? null : 0,
    l2: l2.length === 0 ? null : 0,
  });
  for (const [leg, bins] of [
    ["l1", l1],
    ["l2", l2],
  ] as const) {
    for (const { volts, share } of bins) {
      if (share === 0) continue;
      const row = rows.get(volts) ?? empty(volts);
      row[leg] = share;
      rows.set(volts, row);
    }
  }
  return {
    name: "leg-voltages",
    caption: `How many of each leg’s samples lie within ${binV / 2} V of a voltage`,
    rows: [...rows.values()].sort((a, b) => a.volts - b.volts),
    columns: [
      {
        title: "Around",
        unit: "V",
        numeric: true,
        text: ({ volts }) => `${formatNumber(volts, 1)} V`,
        value: ({ volts }) => volts,
      },
      {
        title: "L1",
        unit: "ratio",
        numeric: true,
        text: ({ l1: share }) => formatPercent(share, 1),
        value: (row) => row.l1,
      },
      {
        title: "L2",
        unit: "ratio",
        numeric: true,
        text: ({ l2: share }) => formatPercent(share, 1),
        value: (row) => row.l2,
      },
    ],
  };
}
