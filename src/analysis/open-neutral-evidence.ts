import { evidenceOf } from "./evidence";
import type { OpenNeutralSuspicion } from "./open-neutral";
import type { Answering, REQUIRED_OF_OPEN_NEUTRAL } from "./required-evidence";
import type { Settings } from "./settings";

/**
 * What a suspicion of an open neutral stands on (definitions D16): the legs' voltages and loads at their greatest
 * difference, and what the log's interval could have hidden.
 *
 * @param intervalS nominal interval of the log, s
 */
export function openNeutralEvidence(
  suspicion: OpenNeutralSuspicion,
  settings: Settings,
  intervalS: number,
): Answering<typeof REQUIRED_OF_OPEN_NEUTRAL> {
  return [
    evidenceOf("legs-apart", {
      fromMs: suspicion.fromMs,
      toMs: suspicion.toMs,
      samples: suspicion.samples,
      differenceV: suspicion.maxDifferenceV,
      l1V: suspicion.l1V,
      l2V: suspicion.l2V,
      l1W: suspicion.l1W,
      l2W: suspicion.l2W,
      atMs: suspicion.maxDifferenceAtMs,
      source: suspicion.source,
      openNeutralV: settings.openNeutralV,
    }),
    evidenceOf("interval-hides", { intervalS }),
  ];
}
