import type { Source } from "../../analysis/series";
import { closesBalance, type PowerColumns } from "./signs";

/** What the words of a source column mean. */
export type SniffedWords = {
  readonly words: Readonly<Record<string, Source>>;
  /** Words of which it isn't clear. */
  readonly open: readonly string[];
  readonly confidence: number;
  readonly figures: { readonly [name: string]: number | string };
};

const MEANINGS: readonly (readonly [Source, ReadonlySet<string>])[] = [
  [
    "inverter",
    words(
      "inverter inv own battery batt inverting island islanded offgrid wechselrichter bateria inversor onduleur",
    ),
  ],
  ["utility", words("utility util street grid mains bypass netz red reseau passthrough ongrid")],
  ["generator", words("generator gen genset generador groupe")],
  ["none", words("none dead blackout outage")],
  ["unknown", words("unknown")],
];

const MIN_ROWS = 20;

/**
 * Settles the words of a source column: by what they mean, else by the powers that go with them. Where the
 * grid gives about the load it is `utility`, where it gives about nothing while sun and battery cover the
 * load, `inverter`; without a grid column, a load that sun and battery don't cover is `utility`. A log that
 * shows one bare code only stays open: the other codes will come.
 */
export function sniffSourceWords(
  cells: readonly string[],
  powers: PowerColumns | null,
  batterySign: 1 | -1 | null,
  gridSign: 1 | -1 | null,
): SniffedWords {
  const seen = [...new Set(cells.map((c) => c.trim()).filter((c) => c !== ""))];
  const meanings: Record<string, Source> = {};
  const bare: string[] = [];
  for (const word of seen) {
    const meaning = meaningOf(word);
    if (meaning === null) bare.push(word);
    else meanings[word] = meaning;
  }
  const figures: Record<string, number | string> = { words: seen.length };
  if (bare.length === 0) return { words: meanings, open: [], confidence: 0.95, figures };
  const open: string[] = [];
  for (const word of bare) {
    const found =
      powers === null ? null : meaningByPower(word, cells, powers, batterySign, gridSign, figures);
    if (found === null) open.push(word);
    else meanings[word] = found;
  }
  const settled = bare.filter((w) => meanings[w] !== undefined);
  const kinds = new Set(settled.map((w) => meanings[w]));
  // Two codes that seem to mean the same, or one alone, have not been told apart.
  if (open.length === 0 && bare.length === seen.length && (kinds.size < 2 || bare.length > 2)) {
    return { words: meanings, open: bare, confidence: 0.4, figures };
  }
  return { words: meanings, open, confidence: open.length === 0 ? 0.85 : 0.3, figures };
}

function meaningOf(word: string): Source | null {
  const folded = word.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");
  const squeezed = folded.replace(/[^a-z]/g, "");
  const last =
    folded
      .split(/[^a-z]+/)
      .filter((w) => w !== "" && w !== "on" && w !== "mode")
      .pop() ?? "";
  for (const [source, known] of MEANINGS) if (known.has(squeezed)) return source;
  if (/^on\b|mode$/.test(folded)) for (const [source, known] of MEANINGS) if (known.has(last)) return source;
  return null;
}

function meaningByPower(
  word: string,
  cells: readonly string[],
  powers: PowerColumns,
  batterySign: 1 | -1 | null,
  gridSign: 1 | -1 | null,
  figures: Record<string, number | string>,
): Source | null {
  let rows = 0;
  let fromGrid = 0;
  let covered = 0;
  for (let i = 0; i < cells.length; i++) {
    if (cells[i].trim() !== word) continue;
    const load = powers.load[i];
    const sun = powers.solar === null ? 0 : Math.max(0, powers.solar[i]);
    const discharge = powers.battery === null ? 0 : powers.battery[i] * (batterySign ?? 0);
    if (Number.isNaN(load + sun + discharge) || load < 100) continue;
    rows++;
    if (powers.grid !== null) {
      const grid = Math.abs(powers.grid[i]);
      if (grid >= 0.6 * load && (gridSign === null || powers.grid[i] * gridSign > 0)) fromGrid++;
      else if (grid <= Math.max(30, 0.1 * load)) covered++;
    } else if (batterySign !== null) {
      if (closesBalance(load, sun, discharge, 0)) covered++;
      else if (sun + discharge < 0.4 * load) fromGrid++;
    }
  }
  figures[`rows of ${word}`] = rows;
  figures[`fed by the grid in ${word}`] = fromGrid;
  figures[`covered without it in ${word}`] = covered;
  if (rows < MIN_ROWS) return null;
  if (fromGrid >= 0.8 * rows) return "utility";
  if (covered >= 0.8 * rows) return "inverter";
  return null;
}

function words(list: string): ReadonlySet<string> {
  return new Set(list.split(" "));
}
