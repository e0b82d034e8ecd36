import {
  addToDistribution,
  createDistribution,
  type Distribution,
  mergeDistribution,
  valuesExceeded,
} from "./distribution";
import type { Frame } from "./frame";

/** Width of a bin of load, W: figures of the curve are right to half of it. */
const BIN_W = 10;

/** Shares of the held time at which the curve is given: closer where the load is high, which is what matters. */
const SHARES: readonly number[] = [
  0,
  0.0005,
  0.001,
  0.002,
  0.003,
  0.005,
  0.007,
  ...Array.from({ length: 100 }, (_, i) => (i + 1) / 100),
];

/** Held time by load of one local day, or of days added together. */
export type LoadDurationSums = { total: Distribution; l1: Distribution; l2: Distribution };

/** One load-duration curve. */
export type DurationCurve = {
  /** Held time with a value, s. */
  heldS: number;
  /** Load in W that is reached or exceeded for each of `shares`, descending. */
  exceededW: number[];
};

/** Load-duration curves of a period; null where a quantity is not in the log. */
export type LoadDuration = {
  /** Shares of the held time, ascending from 0 to 1. */
  shares: number[];
  /** Width of the bins: loads are right to half of it, but for the greatest and the least, which are exact. */
  binW: number;
  total: DurationCurve | null;
  l1: DurationCurve | null;
  l2: DurationCurve | null;
};

/** Sums of a day without samples. */
export function createLoadDurationSums(): LoadDurationSums {
  return { total: createDistribution(BIN_W), l1: createDistribution(BIN_W), l2: createDistribution(BIN_W) };
}

/**
 * Adds the held time of rows `from` to `to` by load, per leg and in all (definitions D11), on inverter and on
 * utility alike: it is what was asked for. A missing load counts in no time.
 */
export function addLoadDuration(frame: Frame, sums: LoadDurationSums, from: number, to: number): void {
  const { holdS, derived } = frame;
  addToDistribution(sums.total, derived.totalW, holdS, from, to);
  addToDistribution(sums.l1, derived.l1W, holdS, from, to);
  addToDistribution(sums.l2, derived.l2W, holdS, from, to);
}

/** Adds a later day to the sums of the days before it. */
export function mergeLoadDuration(into: LoadDurationSums, more: LoadDurationSums): void {
  mergeDistribution(into.total, more.total);
  mergeDistribution(into.l1, more.l1);
  mergeDistribution(into.l2, more.l2);
}

/** The load-duration curves of a period from its sums; null where no load is known. */
export function loadDurationOf(sums: LoadDurationSums): LoadDuration | null {
  const total = curveOf(sums.total);
  const l1 = curveOf(sums.l1);
  const l2 = curveOf(sums.l2);
  if (total === null && l1 === null && l2 === null) return null;
  return { shares: [...SHARES], binW: BIN_W, total, l1, l2 };
}

function curveOf(distribution: Distribution): DurationCurve | null {
  if (!(distribution.totalS > 0)) return null;
  return { heldS: distribution.totalS, exceededW: valuesExceeded(distribution, SHARES) };
}
