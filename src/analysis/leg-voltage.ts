import type { Frame } from "./frame";
import type { Ratings } from "./ratings";
import { SOURCES, type Source } from "./series";
import {
  addValueCounts,
  createValueCounts,
  mergeValueCounts,
  quantilesOf,
  type ValueCounts,
} from "./value-counts";

/**
 * Service voltage range of a 120 V leg as a state rule prints it (COMAR 20.50.07.02; limits elsewhere differ).
 * With another nominal leg voltage the range is taken in proportion.
 */
export const SERVICE_RANGE = { lowV: 114, highV: 126, nominalV: 120 } as const;

/** Voltages are counted to this where a log has too many distinct ones to be kept exactly, V. */
const COUNTED_TO_V = 0.01;

/** Fewer samples than this, or loads whose standard deviation is less than a watt, say nothing of sag. */
const SAG_MIN_SAMPLES = 30;
const SAG_MIN_SPREAD_W = 1;

/** Places in a source's sums for sag: count, the first sample's W and V, then sums of what lies beside it. */
const N = 0;
const X0 = 1;
const Y0 = 2;
const SX = 3;
const SY = 4;
const SXX = 5;
const SXY = 6;
const SYY = 7;
const SAG_SUMS = 8;

/** Voltage of one leg over one local day, or days added together; NaN where there is no sample. */
export type LegVoltageLegSums = {
  minV: number;
  minAtMs: number;
  maxV: number;
  maxAtMs: number;
  /** Held time with a value, and of it below and above the service range, s. */
  heldS: number;
  belowS: number;
  aboveS: number;
  counts: ValueCounts;
  /** Sums of leg V against leg W, eight for each SOURCE_CODE. */
  sag: Float64Array;
};

/** Leg voltage of one local day, or of days added together. */
export type LegVoltageSums = { l1: LegVoltageLegSums; l2: LegVoltageLegSums };

/** How a leg's voltage goes with its load while one source carries it. */
export type LegSag = {
  source: Source;
  /** Slope of the least-squares line, V per kW of the leg: negative where the voltage sags under load. */
  voltsPerKw: number;
  /** Share of the voltage's variance that the line explains; null where the voltage never changes. */
  r2: number | null;
  n: number;
};

/** Voltage of one leg over a period, definitions D16. Instants are epoch ms. */
export type LegVoltageFigures = {
  minV: number;
  minAtMs: number;
  maxV: number;
  maxAtMs: number;
  /** 1st and 99th percentile of the samples; null where the period has no sample of its own. */
  p1V: number | null;
  p99V: number | null;
  /** What the percentiles are rounded to, V: 0 = exact. */
  resolutionV: number;
  samples: number;
  /** Held time with a value, and of it below and above the service range, s. */
  heldS: number;
  belowS: number;
  aboveS: number;
  /** By source, where there are 30 samples or more and the load changes; dead loads sag nowhere. */
  sag: LegSag[];
};

/** Leg voltages over a period; null where a leg's voltage is not in the log. */
export type LegVoltage = { l1: LegVoltageFigures | null; l2: LegVoltageFigures | null };

/** Sums of a day without samples. */
export function createLegVoltageSums(): LegVoltageSums {
  return { l1: createLegSums(), l2: createLegSums() };
}

/**
 * Adds the leg voltages of rows `from` to `to`, which lie in one local day (definitions D16): range, how often
 * each voltage occurs, time outside the service range, and what its sag against the leg's load is fitted from.
 * A missing voltage counts in nothing, a missing load not in the sag.
 *
 * @param ratings in force that day; legNominalV scales the service range
 * @param carried true where row `from` began the day before: it stands in this day's range and time, but it is
 *   no sample of this day
 */
export function addLegVoltage(
  frame: Frame,
  sums: LegVoltageSums,
  ratings: Ratings,
  from: number,
  to: number,
  carried = false,
): void {
  const { raw, derived } = frame;
  if (raw.loadL1V !== undefined) addLeg(frame, sums.l1, raw.loadL1V, derived.l1W, ratings, from, to, carried);
  if (raw.loadL2V !== undefined) addLeg(frame, sums.l2, raw.loadL2V, derived.l2W, ratings, from, to, carried);
}

function addLeg(
  frame: Frame,
  sums: LegVoltageLegSums,
  legV: Float32Array,
  legW: Float64Array,
  ratings: Ratings,
  from: number,
  to: number,
  carried: boolean,
): void {
  const { timesMs, holdS, source } = frame;
  const lowV = (SERVICE_RANGE.lowV * ratings.legNominalV) / SERVICE_RANGE.nominalV;
  const highV = (SERVICE_RANGE.highV * ratings.legNominalV) / SERVICE_RANGE.nominalV;
  let { minV, maxV, heldS, belowS, aboveS } = sums;
  // Most voltages lie within the service range and what was met before: they add held time and no more.
  let usualFromV = Math.max(lowV, minV);
  let usualToV = Math.min(highV, maxV);
  for (let row = from; row < to; row++) {
    const volts = legV[row];
    const hold = holdS[row];
    if (volts >= usualFromV && volts <= usualToV) {
      heldS += hold;
      continue;
    }
    if (Number.isNaN(volts)) continue;
    heldS += hold;
    if (volts < lowV) belowS += hold;
    else if (volts > highV) aboveS += hold;
    if (!(volts >= minV)) {
      minV = volts;
      sums.minAtMs = timesMs[row];
    }
    if (!(volts <= maxV)) {
      maxV = volts;
      sums.maxAtMs = timesMs[row];
    }
    usualFromV = Math.max(lowV, minV);
    usualToV = Math.min(highV, maxV);
  }
  const firstSample = carried ? from + 1 : from;
  addValueCounts(sums.counts, legV, firstSample, to);
  for (let row = firstSample; row < to; ) {
    const code = source[row];
    let end = row + 1;
    while (end < to && source[end] === code) end++;
    addSag(sums.sag, code * SAG_SUMS, legV, legW, row, end);
    row = end;
  }
  sums.minV = minV;
  sums.maxV = maxV;
  sums.heldS = heldS;
  sums.belowS = belowS;
  sums.aboveS = aboveS;
}

/** Adds rows that one source carries to its sums for sag. */
function addSag(
  sag: Float64Array,
  at: number,
  legV: Float32Array,
  legW: Float64Array,
  from: number,
  to: number,
): void {
  let n = sag[at + N];
  let x0 = sag[at + X0];
  let y0 = sag[at + Y0];
  let sx = sag[at + SX];
  let sy = sag[at + SY];
  let sxx = sag[at + SXX];
  let sxy = sag[at + SXY];
  let syy = sag[at + SYY];
  for (let row = from; row < to; row++) {
    const watts = legW[row];
    const volts = legV[row];
    if (Number.isNaN(watts) || Number.isNaN(volts)) continue;
    if (n === 0) {
      x0 = watts;
      y0 = volts;
    }
    const x = watts - x0;
    const y = volts - y0;
    n++;
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
    syy += y * y;
  }
  sag[at + N] = n;
  sag[at + X0] = x0;
  sag[at + Y0] = y0;
  sag[at + SX] = sx;
  sag[at + SY] = sy;
  sag[at + SXX] = sxx;
  sag[at + SXY] = sxy;
  sag[at + SYY] = syy;
}

/** Adds a later day to the sums of the days before it. */
export function mergeLegVoltage(into: LegVoltageSums, more: LegVoltageSums): void {
  mergeLeg(into.l1, more.l1);
  mergeLeg(into.l2, more.l2);
}

function mergeLeg(into: LegVoltageLegSums, more: LegVoltageLegSums): void {
  if (Number.isNaN(more.minV)) return;
  if (!(more.minV >= into.minV)) {
    into.minV = more.minV;
    into.minAtMs = more.minAtMs;
  }
  if (!(more.maxV <= into.maxV)) {
    into.maxV = more.maxV;
    into.maxAtMs = more.maxAtMs;
  }
  into.heldS += more.heldS;
  into.belowS += more.belowS;
  into.aboveS += more.aboveS;
  mergeValueCounts(into.counts, more.counts);
  for (let at = 0; at < into.sag.length; at += SAG_SUMS) mergeSag(into.sag, more.sag, at);
}

/** Sums beside another first sample are moved to this one's. */
function mergeSag(into: Float64Array, more: Float64Array, at: number): void {
  const n = more[at + N];
  if (n === 0) return;
  if (into[at + N] === 0) {
    for (let i = at; i < at + SAG_SUMS; i++) into[i] = more[i];
    return;
  }
  const dx = more[at + X0] - into[at + X0];
  const dy = more[at + Y0] - into[at + Y0];
  const sx = more[at + SX];
  const sy = more[at + SY];
  into[at + N] += n;
  into[at + SX] += sx + n * dx;
  into[at + SY] += sy + n * dy;
  into[at + SXX] += more[at + SXX] + 2 * dx * sx + n * dx * dx;
  into[at + SXY] += more[at + SXY] + dx * sy + dy * sx + n * dx * dy;
  into[at + SYY] += more[at + SYY] + 2 * dy * sy + n * dy * dy;
}

/** Leg voltages of a period from its sums; null where the log has none. */
export function legVoltageOf(sums: LegVoltageSums): LegVoltage | null {
  const l1 = figuresOf(sums.l1);
  const l2 = figuresOf(sums.l2);
  return l1 === null && l2 === null ? null : { l1, l2 };
}

function figuresOf(sums: LegVoltageLegSums): LegVoltageFigures | null {
  if (Number.isNaN(sums.minV)) return null;
  const [p1V, p99V] = quantilesOf(sums.counts, [0.01, 0.99]);
  const sag: LegSag[] = [];
  SOURCES.forEach((source, code) => {
    const fitted = source === "none" ? null : sagOf(sums.sag, code * SAG_SUMS);
    if (fitted !== null) sag.push({ source, ...fitted });
  });
  return {
    minV: sums.minV,
    minAtMs: sums.minAtMs,
    maxV: sums.maxV,
    maxAtMs: sums.maxAtMs,
    p1V: Number.isNaN(p1V) ? null : p1V,
    p99V: Number.isNaN(p99V) ? null : p99V,
    resolutionV: sums.counts.resolution,
    samples: sums.counts.total,
    heldS: sums.heldS,
    belowS: sums.belowS,
    aboveS: sums.aboveS,
    sag,
  };
}

/** Least squares of V on the load; null under 30 samples or where the load never changes. */
function sagOf(sag: Float64Array, at: number): Omit<LegSag, "source"> | null {
  const n = sag[at + N];
  if (n < SAG_MIN_SAMPLES) return null;
  const sxx = sag[at + SXX] - (sag[at + SX] * sag[at + SX]) / n;
  const sxy = sag[at + SXY] - (sag[at + SX] * sag[at + SY]) / n;
  const syy = sag[at + SYY] - (sag[at + SY] * sag[at + SY]) / n;
  // Differences of large sums keep about twelve figures: what lies below is no spread.
  if (!(sxx > 1e-12 * sag[at + SXX] && sxx >= n * SAG_MIN_SPREAD_W ** 2)) return null;
  const changes = syy > 1e-12 * sag[at + SYY];
  return {
    voltsPerKw: (1000 * sxy) / sxx,
    r2: changes ? Math.min(1, (sxy * sxy) / (sxx * syy)) : null,
    n,
  };
}

function createLegSums(): LegVoltageLegSums {
  return {
    minV: Number.NaN,
    minAtMs: Number.NaN,
    maxV: Number.NaN,
    maxAtMs: Number.NaN,
    heldS: 0,
    belowS: 0,
    aboveS: 0,
    counts: createValueCounts(COUNTED_TO_V),
    sag: new Float64Array(SOURCES.length * SAG_SUMS),
  };
}
