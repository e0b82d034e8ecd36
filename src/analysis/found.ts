import type { ContinuousLoad } from "./continuous-load";
import type { DayRecord } from "./day-record";
import type { OpenNeutralSuspicion } from "./open-neutral";
import type { Gap, HourResult, ImbalanceInterval, NearLimitInterval } from "./results";
import type { FoundDropout, FoundTransfer } from "./transfers";

/** From an instant on the log has another nominal interval (definitions D1). */
export type IntervalChange = { fromMs: number; nominalMs: number };

/**
 * What a pass over samples has finished finding: events and days, few against the samples. Everything that a
 * review concludes is concluded from these (`concludeReview`).
 */
export type Found = {
  days: DayRecord[];
  hours: HourResult[];
  transfers: FoundTransfer[];
  dropouts: FoundDropout[];
  nearLimit: NearLimitInterval[];
  imbalance: ImbalanceInterval[];
  continuousLoad: ContinuousLoad[];
  openNeutral: OpenNeutralSuspicion[];
  gaps: Gap[];
  intervals: IntervalChange[];
};

/** Nothing found. */
export function createFound(): Found {
  return {
    days: [],
    hours: [],
    transfers: [],
    dropouts: [],
    nearLimit: [],
    imbalance: [],
    continuousLoad: [],
    openNeutral: [],
    gaps: [],
    intervals: [],
  };
}

/** Appends what was found later. */
export function addFound(into: Found, more: Found): void {
  for (const key of Object.keys(into) as (keyof Found)[]) {
    const list = into[key] as unknown[];
    for (const one of more[key]) list.push(one);
  }
}
