import { evidenceOf } from "./evidence";
import type { Answering, REQUIRED_OF_IMBALANCE } from "./required-evidence";
import type { ImbalanceInterval } from "./results";
import type { Settings } from "./settings";

/**
 * What an imbalance interval stands on (definitions D9): its greatest difference against the settings, and what
 * the log's interval could have hidden.
 */
export function imbalanceEvidence(
  interval: Omit<ImbalanceInterval, "evidence">,
  settings: Settings,
): Answering<typeof REQUIRED_OF_IMBALANCE> {
  return [
    evidenceOf("imbalance-span", {
      durationS: interval.durationS,
      heavierLeg: interval.heavierLeg,
      maxDifferenceW: interval.maxDifferenceW,
      atMs: interval.maxDifferenceAtMs,
      imbalanceEnter: settings.imbalanceEnter,
      imbalanceLeave: settings.imbalanceLeave,
      imbalanceLoadEnter: settings.imbalanceLoadEnter,
      imbalanceLoadLeave: settings.imbalanceLoadLeave,
      imbalanceJoinS: settings.imbalanceJoinS,
      imbalanceMinS: settings.imbalanceMinS,
    }),
    evidenceOf("interval-hides", { intervalS: interval.intervalS }),
  ];
}
