import type { NeutralCurrent } from "../../src/analysis/leg-figures";
import { formatQuantity } from "../_format/number";
import { formatPercent } from "../_format/percent";
import type { Table } from "./table";

/** The neutral's current that is reached or exceeded, a row a part of the time; a row is the index of a share. */
export function neutralCurrent({ shares, exceededA }: NeutralCurrent): Table<number> {
  return {
    name: "neutral-current",
    caption:
      "Current in the neutral that is reached or exceeded, by the part of the time, for loads in phase",
    rows: shares.map((_, at) => at),
    columns: [
      {
        title: "Part of the time",
        unit: "ratio",
        text: (at) => (shares[at] === 0 ? "greatest" : formatPercent(shares[at], shares[at] < 0.01 ? 1 : 0)),
        value: (at) => shares[at],
      },
      {
        title: "Neutral current",
        unit: "A",
        numeric: true,
        text: (at) => formatQuantity(exceededA[at], "A", 1),
        value: (at) => exceededA[at],
      },
    ],
  };
}
