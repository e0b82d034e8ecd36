import type { EvidenceCode, EvidenceOf } from "../analysis/evidence";
import type { LocalClock } from "../analysis/local-time";
import type { CauseFindings, Dropout, Transfer } from "../analysis/results";
import { causeExplanation, otherCauses } from "./cause-words";
import { formatApparentPower, formatDuration, formatLoading, formatLocalTime, formatPower } from "./format";

/**
 * One transfer in a sentence or two: when, where to, why and for how long. Load and limit are those of its evidence,
 * which are in force at the sample.
 *
 * @example "14 May, 18:02: over to the utility because L1 asked for 4.60 kW and its limit was 4.00 kW. Back on the inverter after 6 min."
 */
export function transferSentence(transfer: Transfer, clock: LocalClock): string {
  const at = formatLocalTime(transfer.atMs, clock);
  return `${at}: over to the ${transfer.to} ${reason(transfer)}.${alsoHolds(transfer)} ${outcome(transfer)}`;
}

/**
 * One dropout in a sentence or two.
 *
 * @example "14 May, 18:02: the loads lost supply for a reason that the log doesn't show. They were dead for 6 min."
 */
export function dropoutSentence(dropout: Dropout, clock: LocalClock): string {
  const at = formatLocalTime(dropout.atMs, clock);
  const long = `${formatDuration(dropout.deadS)}${dropout.lowerBound ? " at least" : ""}`;
  return `${at}: the loads lost supply ${reason(dropout)}.${alsoHolds(dropout)} They were dead for ${long}.`;
}

function reason(found: CauseFindings): string {
  const peak = pieceOf(found, "peak-loading");
  if (found.cause === "overload" && peak !== null && peak.figures.loading >= peak.figures.overloadSeenAt) {
    const [asked, limit] = loadAndLimit(peak);
    const counts = whyBelowCounts(peak);
    if (found.certainty === "seen") return `because ${asked} and ${limit}${counts}`;
    return `most likely because ${asked} shortly before and ${limit}${counts}`;
  }
  if (found.cause === "overload" && peak !== null && pieceOf(found, "return-delay") !== null) {
    const [asked, limit] = loadAndLimit(peak);
    return `most likely because of an overload between two samples: ${asked}, ${limit}, and it came back when the return delay ran out`;
  }
  if (found.cause === "unexplained") return "for a reason that the log doesn't show";
  if (found.cause === "in-gap") return "some time in a gap of the log";
  return `${found.certainty === "inferred" ? "most likely because" : "because"} ${causeExplanation(found.cause)}`;
}

function loadAndLimit({ figures }: EvidenceOf<"peak-loading">): [asked: string, limit: string] {
  const total = figures.quantity === "total";
  const who = total ? "the two legs together" : figures.quantity;
  const whose = total ? "their" : "its";
  if (figures.shownIn === "VA") {
    const asked = formatApparentPower(figures.loading * figures.limitVa);
    return [`${who} asked for ${asked}`, `${whose} limit was ${formatApparentPower(figures.limitVa)}`];
  }
  const limit = `${whose} limit was ${formatPower(figures.limitW)}`;
  return figures.shownIn === "part"
    ? [`the inverter's part of ${who} was ${formatPower(figures.loading * figures.limitW)}`, limit]
    : [`${who} asked for ${formatPower(figures.loadW)}`, limit];
}

/** Below its limit a load still counts as an overload: without its reason that reads like a mistake. */
function whyBelowCounts({ figures: { loading, overloadSeenAt } }: EvidenceOf<"peak-loading">): string {
  return loading < 1
    ? ` (an overload counts from ${formatLoading(overloadSeenAt)} of the limit, since the load between two samples isn't seen)`
    : "";
}

function alsoHolds({ alsoHolds: causes }: CauseFindings): string {
  return causes.length === 0 ? "" : ` ${otherCauses(causes)}`;
}

function outcome(transfer: Transfer): string {
  if (transfer.returnedAtMs !== null)
    return `Back on the inverter after ${formatDuration(transfer.onUtilityS)}.`;
  return `It stayed there for ${formatDuration(transfer.onUtilityS)} at least; when it came back the log doesn't show.`;
}

function pieceOf<C extends EvidenceCode>({ evidence }: CauseFindings, code: C): EvidenceOf<C> | null {
  return (evidence.find((one) => one.code === code) as EvidenceOf<C> | undefined) ?? null;
}
