import type { Evidence } from "../../src/analysis/results";
import { evidenceSentence } from "../../src/report/evidence-sentence";
import { clockOf } from "../../src/report/format";
import { keepUnits } from "../_format/keep-units";

/**
 * What a row of a table stands on, in sentences. What the log's own interval hides is left out: the sheet says it
 * once for all.
 *
 * @param nominalS nominal interval of the log, s; null where it isn't known
 */
export function evidenceLines(
  timezone: string,
  nominalS: number | null,
): (row: { readonly evidence: readonly Evidence[] }) => readonly string[] {
  const clock = clockOf(timezone);
  return ({ evidence }) =>
    evidence
      .filter((one) => one.code !== "interval-hides" || one.figures.intervalS !== nominalS)
      .map((one) => keepUnits(evidenceSentence(one, clock)));
}
