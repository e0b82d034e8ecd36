import type { EvidenceCode, EvidenceOf } from "./evidence";
import type { TransferTag } from "./results";
import type { TransferCause } from "./series";

/** Each entry is a piece that must be there; where it lists several codes, one of them. */
type Required = readonly (readonly EvidenceCode[])[];

/**
 * What each cause stands on (definitions D6). A fault code can stand for any cause that the column map gives
 * it as its meaning.
 */
export const REQUIRED_BY_CAUSE = {
  fault: [["fault-code"]],
  overload: [["peak-loading", "return-delay", "fault-code"]],
  "dc-limit": [["dc-current", "fault-code"]],
  "over-temperature": [["temperature", "fault-code"]],
  "low-battery": [["low-soc", "low-volts", "fault-code"]],
  "motor-start": [["leg-rise", "peak-channel", "fault-code"]],
  "load-step": [["leg-rise", "fault-code"]],
  scheduled: [["same-clock-time", "fault-code"]],
  "in-gap": [["gap-before", "fault-code"]],
  unexplained: [["nothing-found", "fault-code"]],
} as const satisfies { readonly [C in TransferCause]: Required };

/** What a transfer of a cause has beside it. */
export const REQUIRED_OF_TRANSFER_BY_CAUSE = {
  fault: [],
  overload: [],
  "dc-limit": [],
  "over-temperature": [],
  "low-battery": [["battery-at-return"]],
  "motor-start": [],
  "load-step": [],
  scheduled: [],
  "in-gap": [],
  unexplained: [],
} as const satisfies { readonly [C in TransferCause]: Required };

/** What each tag stands on (definitions D7). */
export const REQUIRED_BY_TAG = {
  "within-allowance": [["allowance-used"]],
  "one-leg": [["legs-at-peak"]],
  "stacked-starts": [["stacked-rises"]],
  repeat: [["last-return"]],
} as const satisfies { readonly [T in TransferTag]: Required };

/** What every transfer and dropout has, whatever its cause. */
export const REQUIRED_OF_EVENT = [
  ["window"],
  ["peak-loading", "no-loading"],
  ["interval-hides"],
] as const satisfies Required;

export const REQUIRED_OF_TRANSFER = [["without-grid"]] as const satisfies Required;
export const REQUIRED_OF_DROPOUT = [["dead-time"]] as const satisfies Required;
export const REQUIRED_OF_NEAR_LIMIT = [
  ["near-limit-peak", "pass-through-peak"],
  ["near-limit-span"],
  ["interval-hides"],
] as const satisfies Required;
export const REQUIRED_OF_IMBALANCE = [["imbalance-span"], ["interval-hides"]] as const satisfies Required;
export const REQUIRED_OF_CONTINUOUS_LOAD = [
  ["continuous-span"],
  ["interval-hides"],
] as const satisfies Required;
export const REQUIRED_OF_OPEN_NEUTRAL = [["legs-apart"], ["interval-hides"]] as const satisfies Required;

/** Evidence that answers a list of requirements, piece for piece in its order: a tuple. */
export type Answering<R extends Required> = {
  readonly [I in keyof R]: R[I] extends readonly EvidenceCode[] ? EvidenceOf<R[I][number]> : never;
};

/** The evidence without which a cause can't be decided. */
export type RequiredByCause<C extends TransferCause> = Answering<(typeof REQUIRED_BY_CAUSE)[C]>;

/** The evidence that a transfer of a cause has beside it. */
export type RequiredOfTransfer<C extends TransferCause> = Answering<
  (typeof REQUIRED_OF_TRANSFER_BY_CAUSE)[C]
>;

/** The evidence without which a tag can't be given. */
export type RequiredByTag<T extends TransferTag> = Answering<(typeof REQUIRED_BY_TAG)[T]>;
