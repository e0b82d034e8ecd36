import { type EvidenceOf, evidenceOf } from "./evidence";
import type { Answering, REQUIRED_OF_NEAR_LIMIT } from "./required-evidence";
import type { NearLimitInterval } from "./results";
import type { Settings } from "./settings";
import { shownIn } from "./shown-in";

/**
 * What a near-limit interval stands on (definitions D4): its peak against the limit in force at that sample, its
 * times against the settings, and what the log's interval could have hidden.
 */
export function nearLimitEvidence(
  interval: Omit<NearLimitInterval, "evidence">,
  settings: Settings,
): Answering<typeof REQUIRED_OF_NEAR_LIMIT> {
  return [
    peakEvidence(interval),
    evidenceOf("near-limit-span", {
      durationS: interval.durationS,
      meanLoading: interval.meanLoading,
      overLimitS: interval.overLimitS,
      onInverterS: interval.onInverterS,
      onUtilityS: interval.onUtilityS,
      nearLimitEnter: settings.nearLimitEnter,
      nearLimitLeave: settings.nearLimitLeave,
      nearLimitJoinS: settings.nearLimitJoinS,
      nearLimitMinS: settings.nearLimitMinS,
    }),
    evidenceOf("interval-hides", { intervalS: interval.intervalS }),
  ];
}

function peakEvidence(
  interval: Omit<NearLimitInterval, "evidence">,
): EvidenceOf<"near-limit-peak" | "pass-through-peak"> {
  const { quantity, peakLoading: loading, peakAtMs: atMs } = interval;
  if (quantity === "pass-through") {
    const { peakA, limitA } = interval;
    return evidenceOf("pass-through-peak", {
      loading,
      currentA: peakA ?? Number.NaN,
      limitA: limitA ?? Number.NaN,
      atMs,
    });
  }
  const { peakW, limitW } = interval;
  return evidenceOf("near-limit-peak", {
    quantity,
    loading,
    shownIn: shownIn(loading, peakW ?? Number.NaN, limitW ?? Number.NaN),
    loadW: peakW,
    limitW: limitW ?? Number.NaN,
    atMs,
  });
}
