import { quantile } from "./quantile";
import type { ReturnDelay } from "./results";
import type { TransferCause } from "./series";
import type { FoundTransfer } from "./transfers";

/**
 * The site's return delay (definitions D8): median and quartiles in seconds of what the transfers count with; null
 * where none does.
 */
export function returnDelay(delaysS: readonly (number | null)[]): ReturnDelay {
  const sorted = Float64Array.from(delaysS.filter((one) => one !== null)).sort();
  const at = (share: number) => (sorted.length === 0 ? null : quantile(sorted, share));
  return { medianS: at(0.5), q1S: at(0.25), q3S: at(0.75), n: sorted.length };
}

/**
 * What a transfer counts with in the return delay, in seconds: from the end of the last hold on utility above a
 * limit (or from the transfer) to the return, where a load caused it and it returned without a gap or a missing
 * load between; null where it counts in nothing.
 */
export function delayS(found: FoundTransfer, cause: TransferCause): number | null {
  if (cause !== "overload" && cause !== "motor-start" && cause !== "load-step") return null;
  if (found.returnedAtMs === null || found.loadMissing) return null;
  const fromMs = Number.isNaN(found.overUntilMs) ? found.atMs : found.overUntilMs;
  return (found.returnedAtMs - fromMs) / 1000;
}
