import type { Source } from "../../analysis/series";
import { nameConcepts } from "./name-lexicon";
import type { RowPowers } from "./sign-evidence";

/** What the words of a source column mean. */
export type SniffedWords = {
  readonly words: Readonly<Record<string, Source>>;
  /** Words of which it isn't clear, and that more than a few rows have. */
  readonly open: readonly string[];
  readonly confidence: number;
  readonly figures: { readonly [name: string]: number | string };
  /** How many words were settled by the powers that go with them. */
  readonly byPower: number;
};

const MEANINGS: readonly (readonly [Source, ReadonlySet<string>])[] = [
  [
    "generator",
    words(
      "generator gen genset generador groupe electrogene aggregat notstromaggregat aggregaat gerador generatore",
    ),
  ],
  [
    "none",
    words(
      "none dead blackout outage unpowered nosupply nosource stromlos spannungslos sinsuministro ninguno ninguna aucun aucune coupure nessuno nessuna nenhum nenhuma geen spanningsloos",
    ),
  ],
  ["unknown", words("unknown undefined desconocido unbekannt inconnu sconosciuto desconhecido onbekend")],
  [
    "utility",
    words(
      "utility util street grid mains bypass netz netzbetrieb stromnetz red redelectrica reseau secteur rete rede net netwerk lichtnet passthrough ongrid gridtied netzparallel public line main onutility ongridmode public publicgrid ac acin acinput umgehung",
    ),
  ],
  [
    "inverter",
    words(
      "inverter inv own battery batt bat inverting invert island islanded islanding offgrid wechselrichter inselbetrieb insel inselnetz akku batterie batteriebetrieb bateria inversor invirtiendo isla aislado onduleur ilot ilotage autonome batteriemodus omvormer eiland eilandbedrijf accu batterij inverteur isola batteria sun solar pv solarbattery backup standalone ups autonomous",
    ),
  ],
];

const MIN_ROWS = 6;
/** Rows from which an open word is asked about. */
const ASKED_FROM_ROWS = 20;
const ASKED_FROM_SHARE = 0.01;

/**
 * Settles the words of a source column: by what they mean, else by the powers that go with them. Where the
 * grid gives about the load it is `utility`, where it gives about nothing while sun and battery cover the
 * load, `inverter`, where nothing is drawn at all, `none`; without a grid column, a load that sun and battery don't
 * cover is `utility`. A word for no supply is held against the loads: where they are fed it isn't `none`, and in a
 * column of what feeds the input (`ofInput`) it says that the inverter runs by itself. A log that shows one bare code only stays open: the other codes will come.
 */
export function sniffSourceWords(cells: readonly string[], powers: RowPowers, ofInput = false): SniffedWords {
  const seen = new Map<string, number>();
  for (const cell of cells) {
    const word = cell.trim();
    if (word !== "") seen.set(word, (seen.get(word) ?? 0) + 1);
  }
  const meanings: Record<string, Source> = {};
  const bare: string[] = [];
  for (const word of seen.keys()) {
    const meaning = meaningOf(word);
    if (meaning === null || (meaning === "none" && (ofInput || isFed(word, cells, powers.load))))
      bare.push(word);
    else meanings[word] = meaning;
  }
  const figures: Record<string, number | string> = { words: seen.size };
  if (bare.length === 0) return { words: meanings, open: [], confidence: 0.95, figures, byPower: 0 };
  const usual = usualLoad(powers.load);
  const open: string[] = [];
  let byPower = 0;
  for (const word of bare) {
    const byFigures = meaningByPower(word, cells, powers, usual, figures);
    const found = byFigures ?? (ofInput && meaningOf(word) === "none" ? "inverter" : null);
    if (found === null) {
      const rows = seen.get(word) ?? 0;
      if (rows >= ASKED_FROM_ROWS || rows >= ASKED_FROM_SHARE * cells.length || bare.length === seen.size)
        open.push(word);
    } else {
      meanings[word] = found;
      byPower++;
    }
  }
  // A generator shows as little from the grid as an inverter does: codes beyond two need the battery to tell.
  const inverters = bare.filter((w) => meanings[w] === "inverter");
  if (inverters.length > 1 && powers.battery === null) {
    for (const word of inverters) {
      delete meanings[word];
      byPower--;
      open.push(word);
    }
  }
  const kinds = new Set(bare.map((w) => meanings[w]).filter((m) => m !== undefined));
  // Codes that all seem to mean the same, or one alone, have not been told apart.
  if (byPower > 0 && bare.length === seen.size && kinds.size < 2) {
    return { words: meanings, open: bare, confidence: 0.4, figures, byPower: 0 };
  }
  return { words: meanings, open, confidence: open.length === 0 ? 0.85 : 0.3, figures, byPower };
}

function meaningOf(word: string): Source | null {
  const folded = word.toLowerCase().replaceAll("ß", "ss").normalize("NFD").replace(/\p{M}/gu, "");
  const squeezed = folded.replace(/[^a-z]/g, "");
  for (const [source, known] of MEANINGS) if (known.has(squeezed)) return source;
  const parts = folded.split(/[^a-z]+/).filter((w) => w !== "" && !SMALL_WORDS.has(w));
  const meant = new Set<Source>();
  for (const part of parts) {
    const own = MEANINGS.find(([, known]) => known.has(part))?.[0];
    const concepts = nameConcepts(part);
    const source =
      own ??
      (concepts.includes("generator")
        ? "generator"
        : concepts.includes("grid")
          ? "utility"
          : concepts.includes("battery") || concepts.includes("inverter")
            ? "inverter"
            : null);
    // "Off grid" is not the grid, and a word that isn't known may turn it round.
    if (source === null) return null;
    meant.add(source);
  }
  return meant.size === 1 ? ([...meant][0] as Source) : null;
}

const SMALL_WORDS = words(
  "on mode from by via is fed at the de del la le el am im an aus vom auf en sur par modo modus betrieb supply power source feed active",
);

/** Whether loads run in rows of a word: then it is no dead supply. */
function isFed(word: string, cells: readonly string[], load: Float64Array | null): boolean {
  if (load === null) return false;
  let rows = 0;
  let fed = 0;
  for (let i = 0; i < cells.length; i++) {
    if (cells[i].trim() !== word || Number.isNaN(load[i])) continue;
    rows++;
    if (Math.abs(load[i]) > FED_W) fed++;
  }
  return rows > 0 && fed > FED_SHARE * rows;
}
const FED_W = 20;
/** Around an outage a row may hold what was before it. */
const FED_SHARE = 0.3;

/** Middle of the loads above nothing, W; what a dead supply is held against. */
function usualLoad(load: Float64Array | null): number {
  if (load === null) return Number.NaN;
  const drawn = load.filter((v) => v > 20).sort();
  return drawn[drawn.length >> 1] ?? Number.NaN;
}

function meaningByPower(
  word: string,
  cells: readonly string[],
  powers: RowPowers,
  usual: number,
  figures: Record<string, number | string>,
): Source | null {
  const { load, solar, battery, grid } = powers;
  if (load === null) return null;
  let rows = 0;
  let dead = 0;
  let fromGrid = 0;
  let covered = 0;
  let all = 0;
  for (let i = 0; i < cells.length; i++) {
    if (cells[i].trim() !== word) continue;
    const sun = solar === null ? 0 : Math.max(0, solar[i]);
    const discharge = battery === null ? 0 : battery[i];
    const l = load[i];
    if (Number.isNaN(l)) continue;
    all++;
    if (Math.abs(l) < 0.03 * usual) dead++;
    if (Number.isNaN(sun + discharge) || l < 0.2 * usual || l < 30) continue;
    rows++;
    if (grid !== null) {
      const import_ = Math.abs(grid[i]);
      if (import_ >= 0.6 * l && grid[i] > 0) fromGrid++;
      else if (import_ <= Math.max(30, 0.1 * l) || grid[i] < 0) {
        if (battery === null || sun + discharge > 0.75 * l) covered++;
      }
    } else if (battery !== null) {
      const losses = sun + discharge - l;
      if (losses > -Math.max(25, 0.08 * l)) covered++;
      else if (sun + discharge < 0.4 * l) fromGrid++;
    }
  }
  figures[`rows of ${word}`] = all;
  figures[`fed by the grid in ${word}`] = fromGrid;
  figures[`covered without it in ${word}`] = covered;
  if (all >= MIN_ROWS && dead >= 0.9 * all) {
    figures[`without load in ${word}`] = dead;
    return "none";
  }
  if (rows < MIN_ROWS) return null;
  const wanted = rows < 20 ? 0.9 : 0.75;
  if (fromGrid >= wanted * rows) return "utility";
  if (covered >= wanted * rows) return "inverter";
  return null;
}

function words(list: string): ReadonlySet<string> {
  return new Set(list.split(" "));
}
