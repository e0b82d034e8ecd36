import type { DayResult, EnergyShares } from "../../src/analysis/results";
import { formatPercent } from "../_format/percent";
import { formatKwh } from "../_format/power";
import type { Column, Table } from "./table";

/** What carried the load, in the order in which the bars are stacked. */
export const LOAD_SHARES = [
  { key: "solarToLoadWh", title: "Sun", colour: "solar" },
  { key: "batteryToLoadWh", title: "Battery", colour: "battery" },
  { key: "gridToLoadWh", title: "Grid", colour: "grid" },
  { key: "generatorToLoadWh", title: "Generator", colour: "generator" },
  { key: "unattributedWh", title: "Not known", colour: "unknown" },
] as const satisfies readonly { key: keyof EnergyShares; title: string; colour: string }[];

/** Shares that have anything in them on at least one day. Sun, battery and grid always count. */
export function sharesPresent(days: readonly Pick<DayResult, "shares">[]) {
  return LOAD_SHARES.filter(({ key }, at) => at < 3 || days.some(({ shares }) => shares[key] >= 50));
}

/** Energy of the load by where it came from, a row a day. */
export function energyByDay(days: readonly DayResult[]): Table<DayResult> {
  const energy = (key: keyof EnergyShares, title: string): Column<DayResult> => ({
    title,
    unit: "kWh",
    numeric: true,
    text: (day) => formatKwh(day.shares[key]),
    value: (day) => day.shares[key] / 1000,
  });
  return {
    name: "energy-by-day",
    caption: "Energy of the load by where it came from, day by day",
    rows: days,
    columns: [
      { title: "Day", text: (day) => day.date, value: (day) => day.date },
      energy("loadWh", "Load"),
      ...sharesPresent(days).map(({ key, title }) => energy(key, `From ${title.toLowerCase()}`)),
      energy("solarWh", "Solar made"),
      {
        title: "Covered",
        unit: "ratio",
        numeric: true,
        text: (day) => formatPercent(day.sharesHeldS / ((day.toMs - day.fromMs) / 1000)),
        value: (day) => day.sharesHeldS / ((day.toMs - day.fromMs) / 1000),
      },
    ],
  };
}
