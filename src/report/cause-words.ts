import type { Certainty } from "../analysis/results";
import { TRANSFER_CAUSES, type TransferCause } from "../analysis/series";

const NAMES: { readonly [C in TransferCause]: string } = {
  fault: "fault",
  overload: "overload",
  "dc-limit": "battery current limit",
  "over-temperature": "over-temperature",
  "low-battery": "low battery",
  "motor-start": "motor start",
  "load-step": "load step",
  scheduled: "scheduled",
  "in-gap": "in a gap of the log",
  unexplained: "unexplained",
};

/** As something that fits too, in the middle of a sentence. */
const IN_A_SENTENCE: { readonly [C in TransferCause]: string } = {
  fault: "a fault",
  overload: "an overload",
  "dc-limit": "the limit of the battery's current",
  "over-temperature": "a hot inverter",
  "low-battery": "a low battery",
  "motor-start": "a motor start",
  "load-step": "a load step",
  scheduled: "the same clock time as on other days",
  "in-gap": "a gap of the log",
  unexplained: "nothing known",
};

const EXPLANATIONS: { readonly [C in TransferCause]: string } = {
  fault: "the inverter reported a fault",
  overload: "the load was above what a leg or the inverter can carry",
  "dc-limit": "the battery gave as much current as it may",
  "over-temperature": "the inverter was too hot",
  "low-battery": "the battery was down to its limit",
  "motor-start": "a motor or another large load started",
  "load-step": "a large load came on; how high it went between samples the log can't show",
  scheduled: "it happens at the same clock time on other days",
  "in-gap": "it happened in a gap of the log",
  unexplained: "nothing in the log explains it",
};

const CERTAINTIES: { readonly [C in Certainty]: string } = {
  seen: "seen in the log",
  inferred: "inferred",
  none: "not shown by the log",
};

/** Cause in a word or two, for tables. */
export function causeName(cause: string): string {
  return isCause(cause) ? NAMES[cause] : cause;
}

/** Cause as the second half of "It went over to the utility because …". */
export function causeExplanation(cause: TransferCause): string {
  return EXPLANATIONS[cause];
}

/**
 * The other causes whose rules hold for the same event, one or more.
 *
 * @example "Another cause fits too: a load step."
 */
export function otherCauses(causes: readonly TransferCause[]): string {
  const names = causes.map((cause) => IN_A_SENTENCE[cause]);
  const last = names.at(-1);
  return names.length === 1
    ? `Another cause fits too: ${last}.`
    : `Other causes fit too: ${names.slice(0, -1).join(", ")} and ${last}.`;
}

/** Certainty in words. */
export function certaintyName(certainty: Certainty): string {
  return CERTAINTIES[certainty];
}

function isCause(word: string): word is TransferCause {
  return (TRANSFER_CAUSES as readonly string[]).includes(word);
}
