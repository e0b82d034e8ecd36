import { DEFAULT_NO_FAULT } from "../../site/column-map";
import { readColumnNames } from "./column-names";
import { causeOfFaultWord } from "./fault-words";
import type { SniffState } from "./sniff-state";

/** Words for no fault that need no asking, without accents: nothing, zeros in any form, "ok" in several languages. */
const NO_FAULT =
  /^(0+|0x0+|[ef]?0+|-+|ok|okay|none|no|normal|good|clear|no (fault|error|alarm)s?|nofault|noerror|kein(e|er)?( fehler| storung| stoerung)?|ohne|sin (fallo|falla|error|averia)s?|ningun[oa]?|aucun(e)?( defaut| erreur)?|sans( defaut| erreur)?|rien|nessun[oa]?( guasto| errore)?|sem( falha| erro)?|nenhum[a]?|geen( fout| storing)?)$/;

/** Stage: the fault code's column and its words for no fault. */
export function inferFault(state: SniffState): void {
  const { draft, given, names, facts } = state;
  if (given.channels?.faultCode !== undefined) return;
  const index = columnOf(state);
  if (index === -1) return;
  const words = facts[index].words;
  const noFault = (words ?? []).map(([word]) => word).filter((word) => NO_FAULT.test(folded(word)));
  const known = new Set<string>(DEFAULT_NO_FAULT.map((w) => w.toLowerCase()));
  const further = noFault.filter((word) => !known.has(word.toLowerCase()));
  draft.channels.faultCode = {
    column: state.refOf(index),
    ...(further.length === 0 ? {} : { noFault: [...new Set(["", ...noFault])] }),
  };
  state.guessed.add("faultCode");
  state.taken.add(index);
  state.tell("channels.faultCode", names[index], 0.85, { words: words?.length ?? "more than 24" });
  if (further.length > 0) state.tell("channels.faultCode.noFault", further.join(", "), 0.9, {});
  askForCauses(state, index);
  const usual = words?.[0];
  if (
    usual !== undefined &&
    usual[1] > 0.5 * state.rows.length &&
    !NO_FAULT.test(folded(usual[0])) &&
    !known.has(usual[0].toLowerCase())
  ) {
    state.question(
      "channels.faultCode.noFault",
      `Most rows have "${usual[0]}" in "${names[index]}": is that no fault?`,
      [usual[0]],
    );
  }
}

/** More words than this aren't asked about at once. */
const MOST_ASKED = 12;

/**
 * A word that plainly names a cause is proposed as that and asked about: what the inverter says of itself decides the
 * cause of a transfer, and only a person knows that it says so of the inverter.
 */
function askForCauses(state: SniffState, index: number): void {
  const named = (state.facts[index].words ?? [])
    .map(([word]) => ({ word, cause: causeOfFaultWord(word) }))
    .filter(({ cause }) => cause !== null)
    .slice(0, MOST_ASKED);
  if (named.length === 0) return;
  const proposed = named.map(({ word, cause }) => `${word} = ${cause}`);
  state.tell("channels.faultCode.words", proposed.join(", "), 0.65, { words: named.length });
  state.question(
    "channels.faultCode.words",
    `Words in "${state.names[index]}" seem to name causes: ${proposed.join(", ")}. Give each the cause that the inverter reports by it, or "fault" where it is none of these.`,
    ["overload", "over-temperature", "low-battery", "fault"],
  );
}

/** The first column that a name says to hold fault codes; whole numbers or words. */
function columnOf(state: SniffState): number {
  const read = readColumnNames(state.titles);
  let found = -1;
  for (let index = 0; index < read.length; index++) {
    const { concepts, canonical, unit, otherUnit, quantity } = read[index];
    if (state.taken.has(index) || state.facts[index].decimals > 0 || state.facts[index].present === 0)
      continue;
    if (canonical === "faultCode") return index;
    if (!concepts.has("fault") || unit !== null || otherUnit !== null || quantity !== null) continue;
    if (concepts.has("aside") || concepts.has("limit")) continue;
    if (found === -1) found = index;
  }
  return found;
}

function folded(word: string): string {
  return word.trim().toLowerCase().replaceAll("ß", "ss").normalize("NFD").replace(/\p{M}/gu, "");
}
