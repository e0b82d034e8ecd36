import type { NumericChannel } from "../../analysis/series";
import { type Unit, unitsOf } from "../../site/column-map-schema";
import type { ColumnFacts } from "./column-facts";

/**
 * The unit of a column whose name says none, from the size of its figures; null where they could be either
 * of two. A house draws more than 25 W and less than 250 kW: loads that never pass 25 with decimals are kW,
 * loads that pass 250 are W. `others` are the units settled for the log's other powers: a log has one.
 */
export function sniffUnit(
  channel: NumericChannel,
  facts: ColumnFacts,
  others: readonly Unit[],
): { unit: Unit; confidence: number } | null {
  const units = unitsOf(channel);
  const greatest = Math.max(Math.abs(facts.max), Math.abs(facts.min));
  if (units[0] === "%") return { unit: "%", confidence: greatest <= 1 ? 0 : 0.9 };
  if (units.length === 1) return { unit: units[0], confidence: 0.9 };
  if (units[0] === "W" || units[0] === "VA") {
    if (greatest > 250) return { unit: units[0], confidence: 0.9 };
    if (greatest > 0.5 && greatest < 25 && facts.decimals >= 2) return { unit: units[1], confidence: 0.8 };
    const kilo = others.filter((u) => u === "kW").length;
    const plain = others.filter((u) => u === "W").length;
    if (kilo + plain > 0 && kilo * plain === 0) return { unit: units[kilo > 0 ? 1 : 0], confidence: 0.75 };
    return null;
  }
  if (units[0] === "A")
    return greatest < 1000 ? { unit: "A", confidence: 0.85 } : { unit: "mA", confidence: 0.7 };
  if (units[0] === "V")
    return greatest < 2000 ? { unit: "V", confidence: 0.9 } : { unit: "mV", confidence: 0.8 };
  if (units[0] === "C") {
    // An inverter that runs is rarely above 90 °C, nor below 40 °F all day.
    if (facts.max > 95) return { unit: "F", confidence: 0.8 };
    return facts.median < 60 ? { unit: "C", confidence: 0.7 } : null;
  }
  return { unit: units[0], confidence: 0.7 };
}
