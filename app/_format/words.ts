import type { Quantity, TransferTag } from "../../src/analysis/results";
import type { Source, TransferCause } from "../../src/analysis/series";
import { causeName } from "../../src/report/cause-words";

/** A cause as the first word of a cell or a heading. */
export function causeTitle(cause: TransferCause): string {
  const name = causeName(cause);
  return name[0].toUpperCase() + name.slice(1);
}

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
  L1: "L1",
  L2: "L2",
  "pass-through": "Pass-through",
};

/** What else can be said of a transfer. */
export const TAG_WORDS: Record<TransferTag, string> = {
  "within-allowance": "Within the overload allowance",
  "one-leg": "One leg full",
  "stacked-starts": "Stacked starts",
  repeat: "Repeat",
};
