import type { Frame } from "./frame";
import { type LineSums, weightedLine } from "./weighted-line";

/** Between neighbouring samples a change of current of this or more is a step, A. Common practice, no source. */
const STEP_MIN_A = 10;

/** Fewer steps than this, or steps whose standard deviation is less, say nothing (definitions D13). */
const MIN_STEPS = 20;
const MIN_SPREAD_A = 5;

/** Steps of the battery's current of one local day, or of days added together. */
export type BatteryResistanceSums = {
  /** −ΔV against ΔA, each step with weight 1. */
  line: LineSums;
  /** Σ of the times between the two samples of a step, s. */
  apartS: number;
};

/** Internal resistance of a battery, with all between it and where its voltage is measured, definitions D13. */
export type BatteryResistance = {
  ohm: number;
  ohmSe: number;
  r2: number | null;
  steps: number;
  /** Change of current that counts as a step, A. */
  stepMinA: number;
  /** How long after the step its voltage is read, at most: mean time between the two samples, s. */
  delayS: number;
};

/** Sums of a day without samples. */
export function createBatteryResistanceSums(): BatteryResistanceSums {
  return { line: { n: 0, w: 0, wx: 0, wy: 0, wxx: 0, wxy: 0, wyy: 0 }, apartS: 0 };
}

/**
 * Adds the steps of battery current that end at rows `from` to `to`: from one sample to the next, with no gap between,
 * current and voltage of both measured. The row before `from` is looked back at where the frame has it.
 */
export function addBatteryResistance(
  { raw, timesMs, gapAfter }: Frame,
  sums: BatteryResistanceSums,
  from: number,
  to: number,
): void {
  const { batteryA, batteryV } = raw;
  if (batteryA === undefined || batteryV === undefined) return;
  const { line } = sums;
  const first = Math.max(from, 1);
  let before = first < to ? batteryA[first - 1] : Number.NaN;
  for (let row = first; row < to; row++) {
    const amps = batteryA[row];
    const stepA = amps - before;
    before = amps;
    // Most samples are no step.
    if (!(stepA >= STEP_MIN_A || stepA <= -STEP_MIN_A) || gapAfter[row - 1] === 1) continue;
    const dropV = batteryV[row - 1] - batteryV[row];
    if (Number.isNaN(dropV)) continue;
    line.n++;
    line.w++;
    line.wx += stepA;
    line.wy += dropV;
    line.wxx += stepA * stepA;
    line.wxy += stepA * dropV;
    line.wyy += dropV * dropV;
    sums.apartS += (timesMs[row] - timesMs[row - 1]) / 1000;
  }
}

/** Adds a later day to the sums of the days before it. */
export function mergeBatteryResistance(into: BatteryResistanceSums, more: BatteryResistanceSums): void {
  for (const key of Object.keys(into.line) as (keyof LineSums)[]) into.line[key] += more.line[key];
  into.apartS += more.apartS;
}

/** The slope of −ΔV against ΔA; null under 20 steps, for steps all alike, or where the voltage rises under load. */
export function batteryResistanceOf({ line, apartS }: BatteryResistanceSums): BatteryResistance | null {
  if (line.n < MIN_STEPS) return null;
  const fitted = weightedLine(line, MIN_SPREAD_A);
  if (fitted === null || !(fitted.slope > 0)) return null;
  return {
    ohm: fitted.slope,
    ohmSe: fitted.slopeSe,
    r2: fitted.r2,
    steps: line.n,
    stepMinA: STEP_MIN_A,
    delayS: apartS / line.n,
  };
}
