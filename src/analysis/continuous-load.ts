import type { Frame } from "./frame";
import type { Ratings } from "./ratings";

/** Share of a protective device's rating, and time, from which load counts as continuous: the standard's. */
const SHARE_OF_FIVE = 4;
const CONTINUOUS_MS = 3 * 3_600_000;

/** Protective devices whose rating the site gives. */
export const PROTECTIVE_DEVICES = ["service", "pass-through", "dc-fuse"] as const;

export type ProtectiveDevice = (typeof PROTECTIVE_DEVICES)[number];

/** A stretch in which a protective device carried continuous load, definitions D4. Instants are epoch ms. */
export type ContinuousLoad = {
  device: ProtectiveDevice;
  fromMs: number;
  /** End of the last sample's hold. */
  toMs: number;
  durationS: number;
  ratingA: number;
  /** Time-weighted. */
  meanA: number;
  maxA: number;
  maxAtMs: number;
};

/** A run of high current, under way. */
type Run = {
  fromMs: number;
  toMs: number;
  ratingA: number;
  ampSeconds: number;
  heldS: number;
  maxA: number;
  maxAtMs: number;
};

/** What the detector carries from chunk to chunk: a run under way for each of PROTECTIVE_DEVICES. */
export type ContinuousLoadState = { runs: (Run | null)[]; found: ContinuousLoad[] };

/** The state before the first row. */
export function createContinuousLoadState(): ContinuousLoadState {
  return { runs: PROTECTIVE_DEVICES.map(() => null), found: [] };
}

/**
 * Continuous load of protective devices over rows `from` to `to`, for which `ratings` count (definitions D4): at
 * least 80 % of the device's rating for 3 h or more [NEC Art. 100, continuous load; 210.20(A) and 215.3: rating
 * ≥ 125 % of it]. One sample below, a missing value, a gap or another rating ends a run: how much of a dip still
 * counts as continuing the standard doesn't say. Devices named in `hundredPercentRated` are exempt.
 * - `service` (serviceA): the heavier leg's service amperes whichever way they flow, since a breaker heats by
 *   either; where one leg is unknown, the other one's, as a lower bound.
 * - `pass-through` (passThroughA): the greater leg, NaN if either is.
 * - `dc-fuse` (battery.fuseA): |battery A| measured, else |battery W| / battery V.
 */
export function findContinuousLoad(
  frame: Frame,
  state: ContinuousLoadState,
  ratings: Ratings,
  from: number,
  to: number,
): void {
  PROTECTIVE_DEVICES.forEach((device, place) => {
    const ratingA = ratings.hundredPercentRated.includes(device) ? undefined : ratingOf(device, ratings);
    const run = state.runs[place];
    if (run !== null && run.ratingA !== ratingA) close(state, place);
    if (ratingA !== undefined) findRuns(frame, state, place, ratingA, currentOf(device, frame), from, to);
  });
}

/** Where a device's amperes stand: the greater of two columns by size, else watts over volts. */
type Current = {
  first: Column;
  second: Column;
  instead: { watts: Column; volts: Column } | null;
};
type Column = Float64Array | Float32Array;

function currentOf(device: ProtectiveDevice, frame: Frame): Current {
  const { raw, nan, derived } = frame;
  if (device === "service") return { first: derived.serviceL1A, second: derived.serviceL2A, instead: null };
  if (device === "pass-through") return { first: derived.passThroughA, second: nan, instead: null };
  const instead =
    raw.batteryW !== undefined && raw.batteryV !== undefined
      ? { watts: raw.batteryW, volts: raw.batteryV }
      : null;
  return { first: raw.batteryA ?? nan, second: nan, instead };
}

function findRuns(
  frame: Frame,
  state: ContinuousLoadState,
  place: number,
  ratingA: number,
  current: Current,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, gapAfter } = frame;
  const { first, second, instead } = current;
  const leastTimesFive = SHARE_OF_FIVE * ratingA;
  let run = state.runs[place];
  for (let row = from; row < to; row++) {
    const a = Math.abs(first[row]);
    const b = Math.abs(second[row]);
    // 5 A ≥ 4 · rating is 80 % without a fraction that no double holds exactly.
    let high = 5 * a >= leastTimesFive || 5 * b >= leastTimesFive;
    if (run === null && !high && (instead === null || !Number.isNaN(a) || !Number.isNaN(b))) continue;
    let amps = a >= b ? a : !Number.isNaN(b) ? b : a;
    if (instead !== null && Number.isNaN(amps)) {
      const volts = instead.volts[row];
      if (volts > 0) amps = Math.abs(instead.watts[row]) / volts;
      high = 5 * amps >= leastTimesFive;
    }
    if (!high) {
      if (run !== null) {
        close(state, place);
        run = null;
      }
      continue;
    }
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (run === null) {
      run = { fromMs: atMs, toMs: atMs, ratingA, ampSeconds: 0, heldS: 0, maxA: amps, maxAtMs: atMs };
      state.runs[place] = run;
    }
    run.toMs = atMs + hold * 1000;
    run.ampSeconds += amps * hold;
    run.heldS += hold;
    if (amps > run.maxA) {
      run.maxA = amps;
      run.maxAtMs = atMs;
    }
    if (gapAfter[row] === 1) {
      close(state, place);
      run = null;
    }
  }
}

/** Ends the runs under way, at the end of the log. */
export function closeContinuousLoad(state: ContinuousLoadState): void {
  for (let place = 0; place < PROTECTIVE_DEVICES.length; place++) close(state, place);
}

function close(state: ContinuousLoadState, place: number): void {
  const run = state.runs[place];
  state.runs[place] = null;
  if (run === null || run.toMs - run.fromMs < CONTINUOUS_MS) return;
  state.found.push({
    device: PROTECTIVE_DEVICES[place],
    fromMs: run.fromMs,
    toMs: run.toMs,
    durationS: (run.toMs - run.fromMs) / 1000,
    ratingA: run.ratingA,
    meanA: run.ampSeconds / run.heldS,
    maxA: run.maxA,
    maxAtMs: run.maxAtMs,
  });
}

function ratingOf(device: ProtectiveDevice, ratings: Ratings): number | undefined {
  if (device === "service") return ratings.serviceA;
  return device === "pass-through" ? ratings.passThroughA : ratings.battery.fuseA;
}
