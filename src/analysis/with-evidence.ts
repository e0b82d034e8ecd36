import type { ContinuousLoad } from "./continuous-load";
import { continuousLoadEvidence } from "./continuous-load-evidence";
import type { Found } from "./found";
import { imbalanceEvidence } from "./imbalance-evidence";
import { nearLimitEvidence } from "./near-limit-evidence";
import type { OpenNeutralSuspicion } from "./open-neutral";
import { openNeutralEvidence } from "./open-neutral-evidence";
import type { Evidenced, ImbalanceInterval, NearLimitInterval } from "./results";
import type { Settings } from "./settings";

/** Stretches of a period, each with the evidence that it stands on. */
export type EvidencedStretches = {
  nearLimit: Evidenced<NearLimitInterval>[];
  imbalance: Evidenced<ImbalanceInterval>[];
  continuousLoad: Evidenced<ContinuousLoad>[];
  openNeutral: Evidenced<OpenNeutralSuspicion>[];
};

/**
 * Puts to every stretch that a pass found the figures it came from, the settings, and what the log's interval
 * could have hidden.
 *
 * @param settings those that the pass ran with
 * @param intervalS nominal interval of the log, s; NaN where there is none
 */
export function withEvidence(
  found: Pick<Found, "nearLimit" | "imbalance" | "continuousLoad" | "openNeutral">,
  settings: Settings,
  intervalS: number,
): EvidencedStretches {
  // One sample has no interval: it stands for no time.
  const known = Number.isNaN(intervalS) ? 0 : intervalS;
  return {
    nearLimit: found.nearLimit.map((one) => ({ ...one, evidence: nearLimitEvidence(one, settings) })),
    imbalance: found.imbalance.map((one) => ({ ...one, evidence: imbalanceEvidence(one, settings) })),
    continuousLoad: found.continuousLoad.map((one) => ({
      ...one,
      evidence: continuousLoadEvidence(one, known),
    })),
    openNeutral: found.openNeutral.map((one) => ({
      ...one,
      evidence: openNeutralEvidence(one, settings, known),
    })),
  };
}
