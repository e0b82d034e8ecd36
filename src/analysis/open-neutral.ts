import type { Frame } from "./frame";
import type { Ratings } from "./ratings";
import { SOURCES, type Source } from "./series";
import type { Settings } from "./settings";

/** Fewer successive samples than this are no finding. */
const MIN_SAMPLES = 3;

/** How far the sum of the legs may lie from twice the nominal voltage (definitions D16). */
const SUM_TOLERANCE = 0.05;

/** A stretch that looks like an open or bad neutral, definitions D16. Instants are epoch ms. */
export type OpenNeutralSuspicion = {
  fromMs: number;
  /** End of the last sample's hold. */
  toMs: number;
  samples: number;
  /** Greatest |V1 − V2|, and what stood at its sample. */
  maxDifferenceV: number;
  maxDifferenceAtMs: number;
  l1V: number;
  l2V: number;
  l1W: number;
  l2W: number;
  source: Source;
};

/** What the detector carries from chunk to chunk. */
export type OpenNeutralState = {
  run: OpenNeutralSuspicion | null;
  found: OpenNeutralSuspicion[];
  /** Whether any sample had both voltages and both loads: without, nothing found says nothing. */
  evaluated: boolean;
};

/** The state before the first row. */
export function createOpenNeutralState(): OpenNeutralState {
  return { run: null, found: [], evaluated: false };
}

/**
 * Stretches over rows `from` to `to` that look like an open or bad neutral (definitions D16): three successive
 * samples or more, with no gap or missing value between, at each of which
 * - the legs lie more than `openNeutralV` apart while their sum stays within 5 % of twice the nominal voltage:
 *   what one leg loses the other one gains;
 * - the difference follows the imbalance: the leg that would take more at nominal voltage, by W / V², has the
 *   lower one. Plain watts would not do: behind a neutral that is quite open both legs carry the same current,
 *   and the leg with the heavier load shows the fewer watts. Under `dropoutV` a leg's watts tell nothing, and the
 *   low voltage alone stands for the heavier load.
 *
 * It suspects rather once too often: a long or thin service sags as far under a heavy load on one leg, and who
 * comes to look finds a conductor that is too small, or a connection that is loose.
 *
 * What it can't tell: a break on the load's side of where volts are measured; a bad neutral while the legs are
 * balanced or the loads all 240 V; one that shows for less than three samples, or that a sample's averaging hides;
 * a meter that reads one leg off by `openNeutralV`, which looks the same whenever that leg is the heavier one;
 * and where the neutral is bad, beyond what fed the loads (`source`). A finding is a reason to stop and call an
 * electrician; none is no proof that the neutral is sound.
 */
export function findOpenNeutral(
  frame: Frame,
  state: OpenNeutralState,
  ratings: Ratings,
  settings: Settings,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, gapAfter, source, raw, derived } = frame;
  const { loadL1V, loadL2V } = raw;
  if (loadL1V === undefined || loadL2V === undefined) return;
  const { l1W, l2W } = derived;
  const { openNeutralV, dropoutV } = settings;
  const nominalSumV = 2 * ratings.legNominalV;
  for (let row = from; row < to; row++) {
    const l1 = l1W[row];
    const l2 = l2W[row];
    const v1 = loadL1V[row];
    const v2 = loadL2V[row];
    const differenceV = Math.abs(v1 - v2);
    if (!state.evaluated && !Number.isNaN(differenceV + l1 + l2)) state.evaluated = true;
    if (state.run === null && !(differenceV > openNeutralV)) continue;
    const suspicious =
      differenceV > openNeutralV &&
      Math.abs(v1 + v2 - nominalSumV) <= SUM_TOLERANCE * nominalSumV &&
      !Number.isNaN(l1 + l2) &&
      (Math.min(v1, v2) < dropoutV || (l1 * v2 * v2 - l2 * v1 * v1) * (v2 - v1) > 0);
    if (!suspicious) {
      closeOpenNeutral(state);
      continue;
    }
    const atMs = timesMs[row];
    state.run ??= createRun(atMs);
    const { run } = state;
    run.samples++;
    run.toMs = atMs + holdS[row] * 1000;
    if (differenceV > run.maxDifferenceV) {
      run.maxDifferenceV = differenceV;
      run.maxDifferenceAtMs = atMs;
      run.l1V = v1;
      run.l2V = v2;
      run.l1W = l1;
      run.l2W = l2;
      run.source = SOURCES[source[row]];
    }
    if (gapAfter[row] === 1) closeOpenNeutral(state);
  }
}

/** Ends the run under way, at the end of the log too. */
export function closeOpenNeutral(state: OpenNeutralState): void {
  const { run } = state;
  state.run = null;
  if (run !== null && run.samples >= MIN_SAMPLES) state.found.push(run);
}

function createRun(atMs: number): OpenNeutralSuspicion {
  return {
    fromMs: atMs,
    toMs: atMs,
    samples: 0,
    maxDifferenceV: 0,
    maxDifferenceAtMs: atMs,
    l1V: Number.NaN,
    l2V: Number.NaN,
    l1W: Number.NaN,
    l2W: Number.NaN,
    source: "unknown",
  };
}
