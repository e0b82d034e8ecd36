import type { LocalClock } from "../analysis/local-time";
import type { Evidence } from "../analysis/results";
import { evidenceSentence } from "./evidence-sentence";

/**
 * A piece of evidence as a sentence for running text: without the names of settings and ratings, which stand with
 * their values and meanings where it says how it is reckoned.
 */
export function plainEvidence(evidence: Evidence, clock: LocalClock): string {
  return evidenceSentence(evidence, clock)
    .replaceAll(/[,;] settings? [a-zA-Z, ]+(?=\))/g, "")
    .replaceAll(/ \(settings [a-zA-Z, ]+\)/g, "")
    .replaceAll(" (resumeSocPct)", "");
}
