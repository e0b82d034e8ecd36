import type { Certainty, Quantity } from "../../src/analysis/results";
import type { Source, TransferCause } from "../../src/analysis/series";

/** What a cause is called on a screen. */
export const CAUSE_WORDS: Record<TransferCause, string> = {
  fault: "Fault",
  overload: "Overload",
  "dc-limit": "Battery current limit",
  "over-temperature": "Too hot",
  "low-battery": "Low battery",
  "motor-start": "Motor start",
  "load-step": "Load step",
  scheduled: "Scheduled",
  "in-gap": "In a gap of the log",
  unexplained: "Unexplained",
};

/** How sure a cause is. */
export const CERTAINTY_WORDS: Record<Certainty, string> = {
  seen: "seen in the log",
  inferred: "inferred",
  none: "can’t be told",
};

/** What carries the loads. */
export const SOURCE_WORDS: Record<Source, string> = {
  inverter: "On inverter",
  utility: "On utility",
  generator: "On generator",
  none: "No supply",
  unknown: "Not known",
};

/** What a limit is held against. */
export const QUANTITY_WORDS: Record<Quantity, string> = {
  total: "Total",
  L1: "Leg L1",
  L2: "Leg L2",
  "pass-through": "Pass-through",
};
