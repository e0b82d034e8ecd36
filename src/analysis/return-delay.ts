import { quantile } from "./quantile";
import type { ReturnDelay } from "./results";
import type { TransferCause } from "./series";
import type { FoundTransfer } from "./transfers";

/**
 * The site's return delay (definitions D8): from the end of the last hold on utility above a limit (or from
 * the transfer) to the return, over the transfers that a load caused and that returned without a gap or a
 * missing load between. Median and quartiles in seconds; null where there is none.
 *
 * @param found transfers as found, in the order of `causes`
 */
export function returnDelay(
  found: readonly FoundTransfer[],
  causes: readonly { readonly cause: TransferCause }[],
): ReturnDelay {
  const delays: number[] = [];
  found.forEach((transfer, i) => {
    const { cause } = causes[i];
    if (cause !== "overload" && cause !== "motor-start" && cause !== "load-step") return;
    if (transfer.returnedAtMs === null || transfer.loadMissing) return;
    const fromMs = Number.isNaN(transfer.overUntilMs) ? transfer.atMs : transfer.overUntilMs;
    delays.push((transfer.returnedAtMs - fromMs) / 1000);
  });
  const sorted = Float64Array.from(delays).sort();
  const at = (share: number) => (sorted.length === 0 ? null : quantile(sorted, share));
  return { medianS: at(0.5), q1S: at(0.25), q3S: at(0.75), n: sorted.length };
}
