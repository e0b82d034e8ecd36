import type { NearLimitInterval } from "./results";

/**
 * Order of near-limit intervals in results: by their beginning; among equal ones the legs first, as people read
 * them, then the total and the pass-through.
 */
export function nearLimitOrder(
  a: Pick<NearLimitInterval, "fromMs" | "quantity">,
  b: Pick<NearLimitInterval, "fromMs" | "quantity">,
): number {
  return a.fromMs - b.fromMs || ORDER[a.quantity] - ORDER[b.quantity];
}

const ORDER = { L1: 0, L2: 1, total: 2, "pass-through": 3 } as const;
