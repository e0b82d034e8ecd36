import { DEFAULT_NO_FAULT } from "../../site/column-map";
import type { SniffState } from "./sniff-state";

/** Stage: the fault code's column and its word for no fault. */
export function inferFault(state: SniffState): void {
  const { draft, names, facts } = state;
  const c = state.chosen.find((x) => x.channel === "faultCode");
  if (c === undefined) return;
  const index = c.indices[0];
  draft.channels.faultCode = { column: state.refOf(index) };
  state.guessed.add("faultCode");
  const words = facts[index].words;
  state.tell("channels.faultCode", names[index], c.confidence, {
    words: words?.length ?? "more than 24",
  });
  const usual = words?.[0];
  const known = new Set<string>(DEFAULT_NO_FAULT.map((w) => w.toLowerCase()));
  if (usual !== undefined && usual[1] > 0.5 * facts[index].present && !known.has(usual[0].toLowerCase())) {
    state.question(
      "channels.faultCode.noFault",
      `Most rows have "${usual[0]}" in "${names[index]}": is that no fault?`,
      [usual[0]],
    );
  }
}
