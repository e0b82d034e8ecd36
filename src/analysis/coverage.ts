import type { Frame } from "./frame";
import type { Coverage, Gap } from "./results";

/** Quantities whose coverage is counted, in the order of `CoverageSums.missingS`. */
export const COVERED = ["L1", "L2", "total", "source", "solar", "battery", "grid", "soc"] as const;

export type Covered = (typeof COVERED)[number];

/** Samples and held time of one local day, or of days added together. Seconds; instants epoch ms. */
export type CoverageSums = {
  samples: number;
  /** The first sample; NaN where there is none. */
  firstMs: number;
  /** End of the last hold, as far as it lies in the day; NaN where there is none. */
  untilMs: number;
  heldS: number;
  /** Held time in which a quantity is unknown, in the order of COVERED. */
  missingS: Float64Array;
};

/** What the gap detector carries from chunk to chunk. */
export type GapState = {
  /** End of the last hold before a gap that is still open; NaN where there is none. */
  gapFromMs: number;
  found: Gap[];
};

/** Sums of a day without samples. */
export function createCoverageSums(): CoverageSums {
  return {
    samples: 0,
    firstMs: Number.NaN,
    untilMs: Number.NaN,
    heldS: 0,
    missingS: new Float64Array(COVERED.length),
  };
}

/** The state before the first row. */
export function createGapState(): GapState {
  return { gapFromMs: Number.NaN, found: [] };
}

/** Finds the gaps among rows `from` to `to` (definitions D1); each is told at the sample that ends it. */
export function findGaps(frame: Frame, state: GapState, from: number, to: number): void {
  const { timesMs, holdS, gapAfter } = frame;
  for (let row = from; row < to; row++) {
    if (!Number.isNaN(state.gapFromMs)) {
      state.found.push({ fromMs: state.gapFromMs, toMs: timesMs[row] });
      state.gapFromMs = Number.NaN;
    }
    if (gapAfter[row] === 1) state.gapFromMs = timesMs[row] + holdS[row] * 1000;
  }
}

/**
 * Adds held time of rows `from` to `to`, which lie in one local day, and what of it has no value for a
 * quantity (definitions D1). Samples are counted by the caller: a hold that began the day before is none.
 */
export function addCoverage(frame: Frame, sums: CoverageSums, from: number, to: number): void {
  if (from >= to) return;
  const { timesMs, holdS, source, derived, raw, nan } = frame;
  const { l1W, l2W, totalW, solarPartW, dischargeW, importW } = derived;
  const hasSoc = raw.batterySocPct !== undefined;
  const socPct = raw.batterySocPct ?? nan;
  const { missingS } = sums;
  let heldS = sums.heldS;
  for (let row = from; row < to; row++) {
    const hold = holdS[row];
    heldS += hold;
    // Most rows have everything: one sum tells, since a missing part makes it NaN.
    const all = l1W[row] + l2W[row] + totalW[row] + solarPartW[row] + dischargeW[row] + importW[row];
    if (source[row] !== 0 && !Number.isNaN(hasSoc ? all + socPct[row] : all)) {
      if (!hasSoc) missingS[7] += hold;
      continue;
    }
    if (Number.isNaN(l1W[row])) missingS[0] += hold;
    if (Number.isNaN(l2W[row])) missingS[1] += hold;
    if (Number.isNaN(totalW[row])) missingS[2] += hold;
    if (source[row] === 0) missingS[3] += hold;
    if (Number.isNaN(solarPartW[row])) missingS[4] += hold;
    if (Number.isNaN(dischargeW[row])) missingS[5] += hold;
    if (Number.isNaN(importW[row])) missingS[6] += hold;
    if (Number.isNaN(socPct[row])) missingS[7] += hold;
  }
  sums.heldS = heldS;
  sums.untilMs = timesMs[to - 1] + holdS[to - 1] * 1000;
}

/** Adds a later day to the sums of the days before it. */
export function mergeCoverage(into: CoverageSums, more: CoverageSums): void {
  into.samples += more.samples;
  if (Number.isNaN(into.firstMs)) into.firstMs = more.firstMs;
  if (!Number.isNaN(more.untilMs)) into.untilMs = more.untilMs;
  into.heldS += more.heldS;
  for (let i = 0; i < into.missingS.length; i++) into.missingS[i] += more.missingS[i];
}

/** Held time with a value of a quantity, s. */
export function coveredS(sums: CoverageSums, quantity: Covered): number {
  return Math.max(0, sums.heldS - sums.missingS[COVERED.indexOf(quantity)]);
}

/**
 * Coverage of everything seen: from the first sample to the end of the last hold.
 *
 * @param nominalMs the logger's nominal interval, NaN where there is none
 */
export function coverageOf(
  samples: number,
  heldS: number,
  firstMs: number,
  untilMs: number,
  nominalMs: number,
): Omit<Coverage, "gaps"> {
  if (samples === 0) return { fromMs: null, toMs: null, samples: 0, nominalS: null, heldS: 0, ratio: null };
  const lengthS = (untilMs - firstMs) / 1000;
  return {
    fromMs: firstMs,
    toMs: untilMs,
    samples,
    nominalS: Number.isNaN(nominalMs) ? null : nominalMs / 1000,
    heldS,
    ratio: lengthS > 0 ? heldS / lengthS : null,
  };
}
