import type { Frame } from "./frame";
import type { LocalClock } from "./local-time";
import type { Ratings } from "./ratings";
import { SOURCE_CODE } from "./series";
import type { Settings } from "./settings";

const { utility: UTILITY } = SOURCE_CODE;

/** Length of a demand interval (definitions D11). Every zone's offset is a multiple of it. */
const INTERVAL_MS = 900_000;

/** Places of one local hour in `legHours`: W · s and held s of L1, then of L2. */
const HOUR_PLACES = 4;

/** The interval under way: what the detector carries from chunk to chunk. */
export type DemandState = {
  /** Interval that is being summed, as a count of intervals since 1970; NaN where none is under way. */
  interval: number;
  /**
   * Value-seconds and held seconds of each quantity: total, L1, L2 in W, service L1, L2 and pass-through L1, L2
   * in A. A typed array, since every sample adds to it.
   */
  sums: Float64Array;
};

/** Demand of one local day, or of days added together; NaN where no interval gives a figure. */
export type DemandSums = {
  /** Intervals of the total load that count, and the sum of their means. */
  intervals: number;
  sumW: number;
  peakW: number;
  peakAtMs: number;
  heavierLegPeakA: number;
  heavierLegPeakAtMs: number;
  heavierLegPeakLeg: "L1" | "L2" | null;
  heavierLegPeakW: number;
  servicePeakA: number;
  servicePeakAtMs: number;
  passThroughPeakA: number;
  passThroughPeakAtMs: number;
  /** Load of the legs by local hour of the day, of all intervals, however much of them is covered. */
  legHours: Float64Array;
};

/** Mean load of each leg in one local hour of the day, W, over the time held; null where there is none. */
export type LegHour = {
  hour: number;
  l1W: number | null;
  l1HeldS: number;
  l2W: number | null;
  l2HeldS: number;
};

/** Demand of a period, definitions D11. Instants are the beginnings of intervals, epoch ms. */
export type Demand = {
  peakW: number;
  peakAtMs: number;
  /** Greatest mean of the heavier leg's W over the nominal leg voltage; its interval, leg and W. */
  heavierLegPeakA: number | null;
  heavierLegPeakAtMs: number | null;
  heavierLegPeakLeg: "L1" | "L2" | null;
  heavierLegPeakW: number | null;
  /** Greatest mean of the heavier leg's service amperes, imports counting up. */
  serviceA: number | null;
  serviceAtMs: number | null;
  /** Greatest mean of the heavier leg's pass-through amperes on utility. */
  passThroughA: number | null;
  passThroughAtMs: number | null;
  /** Mean of the intervals that count over the peak. */
  loadFactor: number | null;
  /** Local days with samples. */
  recordDays: number;
};

/** The state before the first row. */
export function createDemandState(): DemandState {
  return { interval: Number.NaN, sums: new Float64Array(14) };
}

/** Sums of a day without samples. */
export function createDemandSums(): DemandSums {
  return {
    intervals: 0,
    sumW: 0,
    peakW: Number.NaN,
    peakAtMs: Number.NaN,
    heavierLegPeakA: Number.NaN,
    heavierLegPeakAtMs: Number.NaN,
    heavierLegPeakLeg: null,
    heavierLegPeakW: Number.NaN,
    servicePeakA: Number.NaN,
    servicePeakAtMs: Number.NaN,
    passThroughPeakA: Number.NaN,
    passThroughPeakAtMs: Number.NaN,
    legHours: new Float64Array(24 * HOUR_PLACES),
  };
}

/**
 * Demand over rows `from` to `to`, which lie in one local day (definitions D11): time-weighted means of
 * clock-aligned 15-minute intervals, of the total load, each leg's load, and each leg's service and
 * pass-through amperes. A hold over the edge of an interval counts on each side; a missing value counts in no
 * mean and lowers that quantity's coverage of the interval, which counts from `demandCoverage` on. The interval
 * under way stays in `state`; finished ones go into `day`.
 *
 * @param ratings in force that day; legNominalV divides a leg's watts for amperes
 */
export function sumDemand(
  frame: Frame,
  state: DemandState,
  day: DemandSums,
  ratings: Ratings,
  settings: Settings,
  clock: LocalClock,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, source, raw } = frame;
  const hasGridLegs =
    raw.gridL1A !== undefined ||
    raw.gridL2A !== undefined ||
    raw.gridL1W !== undefined ||
    raw.gridL2W !== undefined;
  const { totalW, l1W, l2W, serviceL1A, serviceL2A, passThroughL1A, passThroughL2A } = frame.derived;
  const { sums } = state;
  let edgeMs = (state.interval + 1) * INTERVAL_MS;
  // The loads that every row has are summed beside the array: it is written where an interval ends.
  let [total, totalS, l1, l1S, l2, l2S] = sums;
  for (let row = from; row < to; row++) {
    let atMs = timesMs[row];
    const endMs = atMs + holdS[row] * 1000;
    const w = totalW[row];
    const w1 = l1W[row];
    const w2 = l2W[row];
    // Most rows lie within one interval, with all loads known and no amperes to add.
    if (endMs <= edgeMs && !hasGridLegs && source[row] !== UTILITY && !Number.isNaN(w + w1 + w2)) {
      const hold = holdS[row];
      total += w * hold;
      totalS += hold;
      l1 += w1 * hold;
      l1S += hold;
      l2 += w2 * hold;
      l2S += hold;
      continue;
    }
    for (;;) {
      if (!(atMs < edgeMs)) {
        keepLoads(sums, total, totalS, l1, l1S, l2, l2S);
        closeDemand(state, day, ratings, settings, clock);
        total = totalS = l1 = l1S = l2 = l2S = 0;
        state.interval = Math.floor(atMs / INTERVAL_MS);
        edgeMs = (state.interval + 1) * INTERVAL_MS;
      }
      const untilMs = Math.min(endMs, edgeMs);
      const heldS = (untilMs - atMs) / 1000;
      if (!Number.isNaN(w)) {
        total += w * heldS;
        totalS += heldS;
      }
      if (!Number.isNaN(w1)) {
        l1 += w1 * heldS;
        l1S += heldS;
      }
      if (!Number.isNaN(w2)) {
        l2 += w2 * heldS;
        l2S += heldS;
      }
      // On inverter amperes are known only where the grid's legs are measured.
      if (hasGridLegs || source[row] === UTILITY) {
        addHeld(sums, 6, serviceL1A[row], heldS);
        addHeld(sums, 8, serviceL2A[row], heldS);
        addHeld(sums, 10, passThroughL1A[row], heldS);
        addHeld(sums, 12, passThroughL2A[row], heldS);
      }
      if (untilMs >= endMs) break;
      atMs = untilMs;
    }
  }
  keepLoads(sums, total, totalS, l1, l1S, l2, l2S);
}

function keepLoads(
  sums: Float64Array,
  total: number,
  totalS: number,
  l1: number,
  l1S: number,
  l2: number,
  l2S: number,
): void {
  sums[0] = total;
  sums[1] = totalS;
  sums[2] = l1;
  sums[3] = l1S;
  sums[4] = l2;
  sums[5] = l2S;
}

function addHeld(sums: Float64Array, place: number, value: number, heldS: number): void {
  if (Number.isNaN(value)) return;
  sums[place] += value * heldS;
  sums[place + 1] += heldS;
}

/**
 * Takes the interval under way into the day, as far as enough of it is covered. To be called at the end of each
 * local day with samples, and at the log's: no interval goes on beyond midnight.
 */
export function closeDemand(
  state: DemandState,
  day: DemandSums,
  ratings: Ratings,
  settings: Settings,
  clock: LocalClock,
): void {
  const { sums } = state;
  const atMs = state.interval * INTERVAL_MS;
  const leastS = (settings.demandCoverage * INTERVAL_MS) / 1000;
  const meanAt = (place: number) => {
    const heldS = sums[place + 1];
    return heldS > 0 && heldS >= leastS ? sums[place] / heldS : Number.NaN;
  };
  const totalW = meanAt(0);
  const l1W = meanAt(2);
  const l2W = meanAt(4);
  const serviceA = greater(meanAt(6), meanAt(8));
  const passThroughA = greater(meanAt(10), meanAt(12));
  if (sums[3] > 0 || sums[5] > 0) {
    const hour = Math.floor(clock.clockS(atMs) / 3600) * HOUR_PLACES;
    for (let i = 0; i < HOUR_PLACES; i++) day.legHours[hour + i] += sums[2 + i];
  }
  state.interval = Number.NaN;
  sums.fill(0);
  if (!Number.isNaN(totalW)) {
    day.intervals++;
    day.sumW += totalW;
    if (isHigher(totalW, day.peakW)) {
      day.peakW = totalW;
      day.peakAtMs = atMs;
    }
  }
  const heavierW = greater(l1W, l2W);
  if (isHigher(heavierW, day.heavierLegPeakW)) {
    day.heavierLegPeakW = heavierW;
    day.heavierLegPeakA = heavierW / ratings.legNominalV;
    day.heavierLegPeakAtMs = atMs;
    day.heavierLegPeakLeg = heavierW === l1W ? "L1" : "L2";
  }
  if (isHigher(serviceA, day.servicePeakA)) {
    day.servicePeakA = serviceA;
    day.servicePeakAtMs = atMs;
  }
  if (isHigher(passThroughA, day.passThroughPeakA)) {
    day.passThroughPeakA = passThroughA;
    day.passThroughPeakAtMs = atMs;
  }
}

/** Adds a later day to the sums of the days before it. */
export function mergeDemand(into: DemandSums, more: DemandSums): void {
  into.intervals += more.intervals;
  into.sumW += more.sumW;
  if (isHigher(more.peakW, into.peakW)) {
    into.peakW = more.peakW;
    into.peakAtMs = more.peakAtMs;
  }
  // Amperes and watts apart: with another nominal voltage in between, the greatest of each may be another day's.
  if (isHigher(more.heavierLegPeakA, into.heavierLegPeakA)) {
    into.heavierLegPeakA = more.heavierLegPeakA;
    into.heavierLegPeakAtMs = more.heavierLegPeakAtMs;
    into.heavierLegPeakLeg = more.heavierLegPeakLeg;
  }
  if (isHigher(more.heavierLegPeakW, into.heavierLegPeakW)) into.heavierLegPeakW = more.heavierLegPeakW;
  if (isHigher(more.servicePeakA, into.servicePeakA)) {
    into.servicePeakA = more.servicePeakA;
    into.servicePeakAtMs = more.servicePeakAtMs;
  }
  for (let i = 0; i < more.legHours.length; i++) into.legHours[i] += more.legHours[i];
  if (isHigher(more.passThroughPeakA, into.passThroughPeakA)) {
    into.passThroughPeakA = more.passThroughPeakA;
    into.passThroughPeakAtMs = more.passThroughPeakAtMs;
  }
}

/**
 * Peak demand of a period from its sums, with load factor [mean over maximum demand of the same interval:
 * Pansini, Electrical Distribution Engineering], the heavier leg's, the service's and the pass-through's; null
 * where no interval of the total load counts.
 *
 * @param recordDays local days with samples in the period
 */
export function demandOf(sums: DemandSums, recordDays: number): Demand | null {
  if (sums.intervals === 0) return null;
  const known = (value: number) => (Number.isNaN(value) ? null : value);
  return {
    peakW: sums.peakW,
    peakAtMs: sums.peakAtMs,
    heavierLegPeakA: known(sums.heavierLegPeakA),
    heavierLegPeakAtMs: known(sums.heavierLegPeakAtMs),
    heavierLegPeakLeg: sums.heavierLegPeakLeg,
    heavierLegPeakW: known(sums.heavierLegPeakW),
    serviceA: known(sums.servicePeakA),
    serviceAtMs: known(sums.servicePeakAtMs),
    passThroughA: known(sums.passThroughPeakA),
    passThroughAtMs: known(sums.passThroughPeakAtMs),
    loadFactor: sums.peakW > 0 ? sums.sumW / sums.intervals / sums.peakW : null,
    recordDays,
  };
}

/** Mean load of the legs in each of the 24 local hours of the day, over the days of a period. */
export function legHoursOf(sums: DemandSums): LegHour[] {
  return Array.from({ length: 24 }, (_, hour) => {
    const [l1, l1S, l2, l2S] = sums.legHours.subarray(hour * HOUR_PLACES, (hour + 1) * HOUR_PLACES);
    return {
      hour,
      l1W: l1S > 0 ? l1 / l1S : null,
      l1HeldS: l1S,
      l2W: l2S > 0 ? l2 / l2S : null,
      l2HeldS: l2S,
    };
  });
}

/** Whether a known value lies above the highest so far: of equal ones the earliest stays. */
function isHigher(value: number, highest: number): boolean {
  return value > highest || (Number.isNaN(highest) && !Number.isNaN(value));
}

/** The greater of the two that are known. */
function greater(a: number, b: number): number {
  return a >= b ? a : !Number.isNaN(b) ? b : a;
}
