import type { Source } from "../../analysis/series";
import { powersOf } from "./powers-of";
import { sniffSigns } from "./signs";
import type { SniffState } from "./sniff-state";
import { sniffSourceWords } from "./source-words";

/** Stage: the words of the source column. */
export function inferSource(state: SniffState): void {
  const { draft, given, names, rows } = state;
  const c = state.chosen.find((x) => x.channel === "source");
  const index = c?.indices[0] ?? -1;
  const column = given.channels?.source;
  if (c === undefined && (column === undefined || column.words !== undefined)) return;
  const at =
    c === undefined
      ? names.findIndex((n) => n.toLowerCase() === String(column?.column).trim().toLowerCase())
      : index;
  if (at < 0) return;
  const powers = powersOf(state);
  const again = powers === null ? null : sniffSigns(powers);
  const sniffed = sniffSourceWords(
    rows.map((cells) => cells[at] ?? ""),
    powers,
    again?.battery ?? null,
    again?.grid ?? null,
  );
  const own: Record<string, Source> = { ...sniffed.words };
  draft.channels.source = { column: column?.column ?? state.refOf(at), words: own };
  state.guessed.add("source");
  if (c !== undefined) state.tell("channels.source", names[at], c.confidence, {});
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
        .join(", ")} in "${names[at]}" stands for.`,
      ["inverter", "utility", "generator", "none", "unknown"],
    );
  }
}
