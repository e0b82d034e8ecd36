import { derateRatio } from "./derate-ratio";
import type { Frame } from "./frame";
import { loadNeighbours } from "./load-neighbours";
import type { Ratings } from "./ratings";
import type { Settings } from "./settings";
import { shownIn } from "./shown-in";

/** How near to the transfer a sample must lie for its loading to count as seen (definitions D6). */
const NEAR_MS = 10_000;
const NONE = [] as const;

/**
 * What the samples around a transfer or a dropout show: the figures that the rules of definitions D6 and
 * the tags of D7 are decided by. NaN where the log has none. Instants are epoch ms.
 */
export type CauseFigures = {
  deltaMs: number;
  windowFromMs: number;
  windowToMs: number;
  /** Samples in the window. */
  windowSamples: number;
  /** Greatest loading of L1, L2 and total in the window, its quantity, sample and load in W. */
  peakLoading: number;
  peakQuantity: "L1" | "L2" | "total" | null;
  peakAtMs: number;
  peakW: number;
  /** Limits of that quantity in force at the peak's sample, and what temperature multiplied them by. */
  peakLimitW: number;
  peakLimitVa: number;
  peakLimitRatio: number;
  /** What the loading shows: the load's W, its VA, or with blending the inverter's part of its W. */
  peakShownIn: "W" | "VA" | "part";
  /** The peak lies in the near part, and not after the transfer's sample. */
  peakNear: boolean;
  peakNotAfter: boolean;
  /** Mean of the two legs at the peak's sample over the legLimitW in force there, lowered by temperature. */
  meanLegsAtPeak: number;
  meanLegsAtPeakW: number;
  legLimitAtPeakW: number;
  /** Fault index of the first new fault code in the window, and of the sample before the window; 0 = none. */
  fault: number;
  faultBefore: number;
  faultAtMs: number;
  maxDischargeA: number;
  maxDischargeAtMs: number;
  maxTempC: number;
  maxTempAtMs: number;
  minSocPct: number;
  minSocAtMs: number;
  minBatteryV: number;
  minBatteryVAtMs: number;
  /** Greatest rise of a leg from the sample before to this one or the next, W, and its two samples. */
  riseW: number;
  riseLeg: "L1" | "L2" | null;
  riseFromMs: number;
  riseToMs: number;
  /** Greatest loading a peak channel shows in the window, its leg, W, limit and sample. */
  peakChannelLoading: number;
  peakChannelLeg: "L1" | "L2" | null;
  peakChannelW: number;
  peakChannelLimitW: number;
  peakChannelAtMs: number;
  /** D7: the part of the allowance used by samples before, and by what one interval could have hidden. */
  usedBefore: number;
  usedHidden: number;
  /** D7: rises of at least stackedRise on a leg in the last stackedWithinS; null where not evaluated. */
  stackedRises: number | null;
};

/**
 * Reads the figures around row `k`. Its window is `t[k] − max(transferLookbackS, 3Δ) ≤ t ≤ t[k] + Δ`, not
 * across a gap (definitions D6); before a change of interval the shorter Δ counts. Everything up to the window's
 * end must be derived.
 *
 * @param ratingsOf ratings in force at an instant
 */
export function causeFigures(
  frame: Frame,
  k: number,
  ratingsOf: (atMs: number) => Ratings,
  settings: Settings,
): CauseFigures {
  const { timesMs, deltaMs, gapAfter, loadSampled, raw, nan, derived, fault } = frame;
  const ratings = ratingsOf(timesMs[k]);
  const legLimitAt = (row: number) => {
    const then = ratingsOf(timesMs[row]);
    return then.legLimitW * derateRatio(then, (raw.inverterTempC ?? nan)[row]);
  };
  const delta = deltaMs[k];
  const atMs = timesMs[k];
  const toMs = atMs + delta;
  const first = firstInReach(frame, k, settings.transferLookbackS);
  let last = k;
  while (last + 1 < frame.sourced && gapAfter[last] === 0 && timesMs[last + 1] <= toMs) last++;
  const { before, after } = loadNeighbours(frame, k);

  const figures: CauseFigures = {
    deltaMs: delta,
    windowFromMs: timesMs[first],
    windowToMs: timesMs[last],
    windowSamples: last - first + 1,
    peakLoading: Number.NaN,
    peakQuantity: null,
    peakAtMs: Number.NaN,
    peakW: Number.NaN,
    peakLimitW: Number.NaN,
    peakLimitVa: Number.NaN,
    peakLimitRatio: Number.NaN,
    peakShownIn: "W",
    peakNear: false,
    peakNotAfter: false,
    meanLegsAtPeak: Number.NaN,
    meanLegsAtPeakW: Number.NaN,
    legLimitAtPeakW: Number.NaN,
    fault: 0,
    faultBefore: 0,
    faultAtMs: Number.NaN,
    maxDischargeA: Number.NaN,
    maxDischargeAtMs: Number.NaN,
    maxTempC: Number.NaN,
    maxTempAtMs: Number.NaN,
    minSocPct: Number.NaN,
    minSocAtMs: Number.NaN,
    minBatteryV: Number.NaN,
    minBatteryVAtMs: Number.NaN,
    riseW: Number.NaN,
    riseLeg: null,
    riseFromMs: Number.NaN,
    riseToMs: Number.NaN,
    peakChannelLoading: Number.NaN,
    peakChannelLeg: null,
    peakChannelW: Number.NaN,
    peakChannelLimitW: Number.NaN,
    peakChannelAtMs: Number.NaN,
    usedBefore: 0,
    usedHidden: Number.NaN,
    stackedRises: null,
  };

  const faultBefore = first > 0 ? fault[first - 1] : 0;
  figures.faultBefore = faultBefore;
  const quantities = [
    { quantity: "total", loading: derived.totalLoading, watts: derived.totalW },
    { quantity: "L1", loading: derived.l1Loading, watts: derived.l1W },
    { quantity: "L2", loading: derived.l2Loading, watts: derived.l2W },
  ] as const;
  let peakRow = -1;
  for (let row = first; row <= last; row++) {
    // A load that only still stands is that of its own sample, which lies in the window or doesn't.
    for (const { quantity, loading, watts } of loadSampled[row] === 1 ? quantities : NONE) {
      const value = loading[row];
      if (Number.isFinite(value) && !(value <= figures.peakLoading)) {
        figures.peakLoading = value;
        figures.peakQuantity = quantity;
        figures.peakW = watts[row];
        peakRow = row;
      }
    }
    if (figures.fault === 0 && fault[row] !== 0 && fault[row] !== faultBefore) {
      figures.fault = fault[row];
      figures.faultAtMs = timesMs[row];
    }
    const amps = (raw.batteryA ?? nan)[row];
    if (!(amps <= figures.maxDischargeA) && !Number.isNaN(amps)) {
      figures.maxDischargeA = amps;
      figures.maxDischargeAtMs = timesMs[row];
    }
    const tempC = (raw.inverterTempC ?? nan)[row];
    if (!(tempC <= figures.maxTempC) && !Number.isNaN(tempC)) {
      figures.maxTempC = tempC;
      figures.maxTempAtMs = timesMs[row];
    }
    const socPct = (raw.batterySocPct ?? nan)[row];
    if (!(socPct >= figures.minSocPct) && !Number.isNaN(socPct)) {
      figures.minSocPct = socPct;
      figures.minSocAtMs = timesMs[row];
    }
    const volts = (raw.batteryV ?? nan)[row];
    if (!(volts >= figures.minBatteryV) && !Number.isNaN(volts)) {
      figures.minBatteryV = volts;
      figures.minBatteryVAtMs = timesMs[row];
    }
    peakChannel("L1", (raw.loadL1PeakW ?? nan)[row], row);
    peakChannel("L2", (raw.loadL2PeakW ?? nan)[row], row);
  }
  if (peakRow >= 0 && figures.peakQuantity !== null) {
    figures.peakAtMs = timesMs[peakRow];
    const then = ratingsOf(timesMs[peakRow]);
    const ratio = derateRatio(then, (raw.inverterTempC ?? nan)[peakRow]);
    const total = figures.peakQuantity === "total";
    figures.peakLimitRatio = ratio;
    figures.peakLimitW = (total ? then.totalLimitW : then.legLimitW) * ratio;
    figures.peakLimitVa = (total ? then.totalLimitVa : then.legLimitVa) * ratio;
    figures.peakShownIn = shownIn(figures.peakLoading, figures.peakW, figures.peakLimitW);
    figures.meanLegsAtPeakW = (derived.l1W[peakRow] + derived.l2W[peakRow]) / 2;
    figures.legLimitAtPeakW = legLimitAt(peakRow);
    figures.peakNotAfter = peakRow <= k;
    figures.peakNear =
      (peakRow >= (before ?? k) && peakRow <= (after ?? k)) || Math.abs(timesMs[peakRow] - atMs) <= NEAR_MS;
    figures.meanLegsAtPeak = (derived.l1W[peakRow] + derived.l2W[peakRow]) / 2 / legLimitAt(peakRow);
  }

  if (before !== null) {
    for (const leg of ["L1", "L2"] as const) {
      const watts = leg === "L1" ? derived.l1W : derived.l2W;
      for (const row of after !== null ? [k, after] : [k]) {
        const rise = watts[row] - watts[before];
        if (!Number.isNaN(rise) && !(rise <= figures.riseW)) {
          figures.riseW = rise;
          figures.riseLeg = leg;
          figures.riseFromMs = timesMs[before];
          figures.riseToMs = timesMs[row];
        }
      }
    }
  }
  allowanceUsed(frame, k, ratings, settings, figures);
  stackedRises(frame, k, ratings, settings, figures);
  return figures;

  function peakChannel(leg: "L1" | "L2", watts: number, row: number): void {
    const loading = watts / legLimitAt(row);
    if (Number.isNaN(loading) || loading <= figures.peakChannelLoading) return;
    figures.peakChannelLoading = loading;
    figures.peakChannelLeg = leg;
    figures.peakChannelW = watts;
    figures.peakChannelLimitW = legLimitAt(row);
    figures.peakChannelAtMs = timesMs[row];
  }
}

/**
 * The first row, not across a gap, that lies no more than `leastS` before row `k`, or three nominal intervals. Where
 * the interval has changed in between it is the shorter one that counts: three of the longer one may be days, and no
 * pass keeps so many samples of the shorter one in case that a longer one comes.
 */
function firstInReach(frame: Frame, k: number, leastS: number): number {
  const { timesMs, deltaMs, gapAfter } = frame;
  const atMs = timesMs[k];
  let shortestMs = deltaMs[k];
  let row = k;
  while (row > 0 && gapAfter[row - 1] === 0) {
    shortestMs = Math.min(shortestMs, deltaMs[row - 1]);
    if (timesMs[row - 1] < atMs - Math.max(leastS * 1000, 3 * shortestMs)) break;
    row--;
  }
  return row;
}

/** Seconds that the nameplate allows at a loading: forS of the smallest upToRatio that covers it, else 0. */
export function allowedS(ratings: Ratings, loading: number): number {
  for (const step of ratings.overload) if (loading <= step.upToRatio) return step.forS;
  return 0;
}

function allowanceUsed(
  frame: Frame,
  k: number,
  ratings: Ratings,
  settings: Settings,
  figures: CauseFigures,
): void {
  if (ratings.overload.length === 0) return;
  const { holdS, loadSampled, derived } = frame;
  let longestS = 0;
  for (const step of ratings.overload) longestS = Math.max(longestS, step.forS);
  let row = firstInReach(frame, k, Math.max(settings.transferLookbackS, longestS));
  // What still stands there of a sample before counts as little as with one logger.
  while (row < k && loadSampled[row] !== 1) row++;
  let used = 0;
  for (; row < k; row++) {
    const loading = greatest(
      greatest(derived.totalLoading[row], derived.l1Loading[row]),
      derived.l2Loading[row],
    );
    if (loading > 1) used += holdS[row] / allowedS(ratings, loading);
  }
  figures.usedBefore = used;
  figures.usedHidden = figures.deltaMs / 1000 / allowedS(ratings, figures.peakLoading);
}

function stackedRises(
  frame: Frame,
  k: number,
  ratings: Ratings,
  settings: Settings,
  figures: CauseFigures,
): void {
  // A coarser log can't tell one start from two.
  if (figures.deltaMs > 60_000) return;
  const { timesMs, gapAfter, derived } = frame;
  const fromMs = timesMs[k] - settings.stackedWithinS * 1000;
  const leastW = settings.stackedRise * ratings.legLimitW;
  let rises = 0;
  for (let row = k; row > 0 && gapAfter[row - 1] === 0 && timesMs[row] >= fromMs; row--) {
    const rise1 = derived.l1W[row] - derived.l1W[row - 1];
    const rise2 = derived.l2W[row] - derived.l2W[row - 1];
    if (rise1 >= leastW || rise2 >= leastW) rises++;
  }
  figures.stackedRises = rises;
}

function greatest(a: number, b: number): number {
  return a >= b ? a : !Number.isNaN(b) ? b : a;
}
