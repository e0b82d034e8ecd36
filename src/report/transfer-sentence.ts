import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import type { Transfer } from "../analysis/results";
import { causeExplanation } from "./cause-words";
import { formatDuration, formatLocalTime, formatPower } from "./format";

/**
 * One transfer in a sentence or two: when, where to, why and for how long.
 *
 * @example "14 May, 18:02: over to the utility because L1 asked for 4.60 kW and its limit is 4.00 kW. Back after 6 min."
 */
export function transferSentence(transfer: Transfer, ratings: Ratings, clock: LocalClock): string {
  const at = formatLocalTime(transfer.atMs, clock);
  return `${at}: over to the ${transfer.to} ${reason(transfer, ratings)}. ${outcome(transfer)}`;
}

function reason(transfer: Transfer, ratings: Ratings): string {
  if (transfer.cause === "overload" && transfer.peakLoading !== null) {
    const total = transfer.limiting === "total";
    const limitW = total ? ratings.totalLimitW : ratings.legLimitW;
    const asked = `${total ? "the two legs together" : transfer.limiting} asked for ${formatPower(transfer.peakLoading * limitW)}`;
    const limit = `${total ? "their" : "its"} limit is ${formatPower(limitW)}`;
    if (transfer.certainty === "seen") return `because ${asked} and ${limit}`;
    if (transfer.evidence.some((one) => one.code === "return-delay") && transfer.peakLoading < 1) {
      return `most likely because of an overload between two samples: ${asked}, ${limit}, and it came back when the return delay ran out`;
    }
    return `most likely because ${asked} shortly before and ${limit}`;
  }
  if (transfer.cause === "unexplained") return "for a reason that the log doesn't show";
  if (transfer.cause === "in-gap") return "some time in a gap of the log";
  return `${transfer.certainty === "inferred" ? "most likely because" : "because"} ${causeExplanation(transfer.cause)}`;
}

function outcome(transfer: Transfer): string {
  if (transfer.returnedAtMs !== null)
    return `Back on the inverter after ${formatDuration(transfer.onUtilityS)}.`;
  return `It stayed there for ${formatDuration(transfer.onUtilityS)} at least; when it came back the log doesn't show.`;
}
