import type { SourceRun } from "../../src/analysis/source-runs";
import { SOURCE_WORDS } from "../_format/words";
import { PAINT, slanted } from "./paint";

/** What a run of the band is called. */
export function sourceWords(source: SourceRun["source"]): string {
  return source === "gap" ? "Gap of the log" : SOURCE_WORDS[source];
}

/** The letter that marks a run of the band. */
export const SOURCE_LETTERS: { readonly [S in SourceRun["source"]]: string } = {
  inverter: "I",
  utility: "U",
  generator: "G",
  none: "N",
  unknown: "?",
  gap: "–",
};

/** Marks of the band in the order of the legend, with the class of their sample there. */
export const SOURCE_ORDER = ["inverter", "utility", "generator", "none", "unknown", "gap"] as const;

/** Each state its own colour and its own pattern; its letter or name stands in it. */
export function runStyle(source: SourceRun["source"]): object {
  const border = { borderColor: PAINT.rule, borderWidth: 0.5 };
  switch (source) {
    case "inverter":
      return { color: PAINT.sunk, ...border };
    case "utility":
      return { color: slanted(PAINT.grid, 4, 2.5), ...border };
    case "generator":
      return { color: PAINT.generator, opacity: 0.6, ...border, borderWidth: 1.5 };
    case "none":
      return { color: slanted(PAINT.alert, 3, 1.75, true), ...border, borderColor: PAINT.alert };
    case "unknown":
      return { color: "none", borderColor: PAINT.rule, borderWidth: 1, borderType: [2, 2] };
    case "gap":
      return { color: "none", borderWidth: 0 };
  }
}
