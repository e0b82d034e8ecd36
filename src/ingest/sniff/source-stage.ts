import type { Source } from "../../analysis/series";
import { type NameReading, readColumnNames } from "./column-names";
import type { RowPowers } from "./sign-evidence";
import type { SniffState } from "./sniff-state";
import { type SniffedWords, sniffSourceWords } from "./source-words";

/** Most different words that a state column has. */
const MAX_WORDS = 12;

/** Stage: the column of the source, by its name, its words or the powers that go with them, and what its words mean. */
export function inferSource(state: SniffState): void {
  const { draft, given, names, rows } = state;
  const column = given.channels?.source;
  if (column?.words !== undefined) return;
  const powers: RowPowers = state.powers ?? { load: null, solar: null, battery: null, grid: null };
  const read = readColumnNames(state.titles);
  const wordsOf = (index: number) =>
    sniffSourceWords(
      rows.map((cells) => cells[index] ?? ""),
      powers,
      isInput(read[index]),
    );
  const found =
    column !== undefined ? given_(state.indexOf(column.column), wordsOf) : likeliest(state, read, wordsOf);
  if (found === null) return;
  const { index, confidence, sniffed } = found;
  const own: Record<string, Source> = { ...sniffed.words };
  draft.channels.source = { column: column?.column ?? state.refOf(index), words: own };
  state.guessed.add("source");
  state.taken.add(index);
  if (column === undefined) state.tell("channels.source", names[index], confidence, {});
  const value = Object.entries(own)
    .map(([word, source]) => `${word} = ${source}`)
    .join(", ");
  state.tell("channels.source.words", value, sniffed.confidence, sniffed.figures);
  if (sniffed.open.length > 0) {
    state.question(
      "channels.source.words",
      `It isn't clear which source ${sniffed.open
        .slice(0, 12)
        .map((w) => `"${w}"`)
        .join(", ")} in "${names[index]}" stands for.`,
      ["inverter", "utility", "generator", "none", "unknown"],
    );
  }
}

type Found = { index: number; confidence: number; sniffed: SniffedWords };

function given_(index: number, wordsOf: (index: number) => SniffedWords): Found | null {
  return index < 0 ? null : { index, confidence: 1, sniffed: wordsOf(index) };
}

/** What feeds the inverter's AC input, and not what feeds the loads. */
function isInput({ concepts }: NameReading): boolean {
  return concepts.has("input") || (concepts.has("ac") && concepts.has("source"));
}

/** The best of the columns that could be the source: settled words count more than a name. */
function likeliest(
  state: SniffState,
  read: readonly NameReading[],
  wordsOf: (index: number) => SniffedWords,
): Found | null {
  let best: (Found & { rank: number }) | null = null;
  for (let index = 0; index < state.facts.length; index++) {
    if (state.taken.has(index)) continue;
    const { words, present, decimals } = state.facts[index];
    const { concepts, canonical, otherUnit, unit, telling } = read[index];
    if (words === null || words.length > MAX_WORDS || present === 0 || decimals > 0) continue;
    if (otherUnit !== null || unit !== null || concepts.has("aside") || concepts.has("time")) continue;
    const named = canonical === "source" || concepts.has("source");
    const faulty = canonical === "faultCode" || concepts.has("fault");
    if (faulty && !concepts.has("source")) continue;
    // A name that says something else altogether is no state; "on grid" and "inverter" may be.
    const open = !telling || concepts.has("grid") || concepts.has("inverter") || isInput(read[index]);
    if (!named && !open) continue;
    const sniffed = wordsOf(index);
    const settled = Object.keys(sniffed.words).length > 0 && sniffed.open.length === 0;
    const meant = settled && new Set(Object.values(sniffed.words)).size >= 2;
    if (!named && !meant) continue;
    const rank =
      (canonical === "source" ? 4 : 0) + (named ? 2 : 0) + (meant ? 3 : settled ? 2 : 0) - (faulty ? 2 : 0);
    if (best !== null && best.rank >= rank) continue;
    best = { index, confidence: canonical === "source" ? 1 : named ? 0.85 : 0.8, sniffed, rank };
  }
  return best;
}
