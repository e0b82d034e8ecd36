import type { Frame } from "./frame";
import type { Coverage, Gap } from "./results";

/** What the detector carries from chunk to chunk. */
export type CoverageState = {
  firstMs: number;
  untilMs: number;
  samples: number;
  heldS: number;
  gaps: Gap[];
  /** End of the last hold before a gap that is still open; NaN where there is none. */
  gapFromMs: number;
};

/** The state before the first row. */
export function createCoverageState(): CoverageState {
  return {
    firstMs: Number.NaN,
    untilMs: Number.NaN,
    samples: 0,
    heldS: 0,
    gaps: [],
    gapFromMs: Number.NaN,
  };
}

/** Counts samples, held time and gaps of rows `from` to `to` (definitions D1). */
export function addCoverage(frame: Frame, state: CoverageState, from: number, to: number): void {
  if (from >= to) return;
  const { timesMs, holdS, gapAfter } = frame;
  if (Number.isNaN(state.firstMs)) state.firstMs = timesMs[from];
  let heldS = state.heldS;
  for (let row = from; row < to; row++) {
    if (!Number.isNaN(state.gapFromMs)) {
      state.gaps.push({ fromMs: state.gapFromMs, toMs: timesMs[row] });
      state.gapFromMs = Number.NaN;
    }
    heldS += holdS[row];
    if (gapAfter[row] === 1) state.gapFromMs = timesMs[row] + holdS[row] * 1000;
  }
  state.heldS = heldS;
  state.samples += to - from;
  state.untilMs = timesMs[to - 1] + holdS[to - 1] * 1000;
}

/**
 * Coverage of everything seen: from the first sample to the end of the last hold.
 *
 * @param nominalMs the logger's nominal interval, NaN where there is none
 */
export function coverageOf(state: CoverageState, nominalMs: number): Coverage {
  if (state.samples === 0) {
    return { fromMs: null, toMs: null, samples: 0, nominalS: null, heldS: 0, ratio: null, gaps: [] };
  }
  const lengthS = (state.untilMs - state.firstMs) / 1000;
  return {
    fromMs: state.firstMs,
    toMs: state.untilMs,
    samples: state.samples,
    nominalS: Number.isNaN(nominalMs) ? null : nominalMs / 1000,
    heldS: state.heldS,
    ratio: lengthS > 0 ? state.heldS / lengthS : null,
    gaps: state.gaps,
  };
}
