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
  none: "can't be told",
};

/** Cause in a word or two, for tables. */
export function causeName(cause: string): string {
  return isCause(cause) ? NAMES[cause] : cause;
}

/** Cause as the second half of "It went over to the utility because …". */
export function causeExplanation(cause: TransferCause): string {
  return EXPLANATIONS[cause];
}

/** Certainty in words. */
export function certaintyName(certainty: Certainty): string {
  return CERTAINTIES[certainty];
}

function isCause(word: string): word is TransferCause {
  return (TRANSFER_CAUSES as readonly string[]).includes(word);
}
