import { nameGist } from "./name-gist";
/**
 * The units of a row that holds nothing else, one per cell ("" for none), brackets taken away: the row that some
 * logs have under their header. Null where the row is no such row.
 */
export function unitRow(cells: readonly string[]): string[] | null {
  let units = 0;
  const found: string[] = [];
  for (const cell of cells) {
    const text = nameGist(cell.trim()).replace(/^[[({]\s*|\s*[\])}]$/g, "");
    if (text === "" || NO_UNIT.test(text)) {
      found.push("");
      continue;
    }
    if (!UNIT.test(text)) return null;
    units++;
    found.push(text);
  }
  return units === 0 ? null : found;
}

/** What stands in a unit row over or under texts, times and counts. */
const NO_UNIT =
  /^(?:-+|–|—|n\/a|none|text|string|enum|code|state|bool(?:ean)?|utc|gmt|local|(?:dd|d|mm|m|yyyy|yy|hh|h|ss|s)(?:[-/.: ]?(?:dd|d|mm|m|yyyy|yy|hh|h|ss|s))+)$/i;
const UNIT =
  /^(?:(?:[kmM]|milli|kilo|mega)?(?:W|Wh|VA|VAh|VAR|var|varh|A|Ah|V|watts?|volts?|amp(?:ere)?s?)|kWh|%|pct|percent|°?\s?[CF]|deg\s?[CF]|K|Hz|h|min|s|ms|rpm|Ω|ohm|bar|l|m3|m³)$/i;
