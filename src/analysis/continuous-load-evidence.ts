import type { ContinuousLoad } from "./continuous-load";
import { evidenceOf } from "./evidence";
import type { Answering, REQUIRED_OF_CONTINUOUS_LOAD } from "./required-evidence";

/**
 * What a stretch of continuous load stands on (definitions D4): its current against the device's rating, and what
 * the log's interval could have hidden.
 *
 * @param intervalS nominal interval of the log, s
 */
export function continuousLoadEvidence(
  stretch: ContinuousLoad,
  intervalS: number,
): Answering<typeof REQUIRED_OF_CONTINUOUS_LOAD> {
  return [
    evidenceOf("continuous-span", {
      device: stretch.device,
      fromMs: stretch.fromMs,
      toMs: stretch.toMs,
      durationS: stretch.durationS,
      ratingA: stretch.ratingA,
      meanA: stretch.meanA,
      maxA: stretch.maxA,
      atMs: stretch.maxAtMs,
    }),
    evidenceOf("interval-hides", { intervalS }),
  ];
}
