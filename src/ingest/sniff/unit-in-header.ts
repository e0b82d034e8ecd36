import type { NumericChannel } from "../../analysis/series";
import type { NumericColumn } from "../../site/column-map";
import { type Unit, unitsOf } from "../../site/column-map-schema";
import { headerWords } from "./header-words";

/** The unit that a column's name states, where the channel can have it; else null. */
export function unitInHeader(column: NumericColumn["column"], channel: NumericChannel): Unit | null {
  const ref = typeof column === "object" ? column.plus : column;
  const { unit } = headerWords(String(ref));
  return unit !== null && unitsOf(channel).includes(unit) ? unit : null;
}
