import { equationOfTimeMin } from "./equation-of-time";
import { quantile } from "./quantile";
import type { SunDay } from "./sun-middle";

/** What the sun says of a logger's clock. */
export type ClockDrift = {
  /** Days that count: those with at least half the energy of a good one. */
  days: number;
  /** Minutes a month (30 days) by which the clock goes slow (sun seen too early: negative) or fast. */
  driftMinPerMonth: number | null;
  /** Where the sun's middle moved all at once: the first day after it (epoch ms), and by how many minutes. */
  steps: { atMs: number; byMin: number }[];
};

/** Days on each side of a step, and least of them for a drift. */
const STEP_DAYS = 7;
const DRIFT_DAYS = 20;
/** Clouds move the middle of a day by tens of minutes; the median of a week by far less. */
const STEP_MIN = 30;

/**
 * Holds the middles of the sun's energy, day by day, against the sun's own time: what is left beside the equation
 * of time stays the same as long as the clock and the panels do. A step is a change of the median of a week by more
 * than half an hour (a clock that was set, summer time that was not told); the drift is the slope of Theil and Sen
 * (P. K. Sen, JASA 63 (1968) 1379) where there is no step. Null under twenty days.
 *
 * @param suns days in order; null ones are passed over
 */
export function clockDrift(suns: readonly (SunDay | null)[]): ClockDrift {
  const present = suns.filter((sun) => sun !== null);
  const energies = present.map((sun) => sun.energyWh).sort((a, b) => a - b);
  const good = energies.length === 0 ? 0 : quantile(energies, 0.9);
  const counted = present.filter((sun) => sun.energyWh >= 0.5 * good);
  const left = counted.map((sun) => residueMin(sun.middleMs));
  const steps: ClockDrift["steps"] = [];
  for (let at = STEP_DAYS; at + STEP_DAYS <= counted.length; at++) {
    const byMin = median(left.slice(at, at + STEP_DAYS)) - median(left.slice(at - STEP_DAYS, at));
    if (Math.abs(byMin) <= STEP_MIN) continue;
    const last = steps.at(-1);
    const near = last !== undefined && counted[at].middleMs - last.atMs < STEP_DAYS * DAY_MS;
    // Windows before and after the place see a part of it: the greatest is the place.
    if (near && Math.abs(last.byMin) >= Math.abs(byMin)) continue;
    if (near) steps.pop();
    steps.push({ atMs: counted[at].middleMs, byMin });
  }
  return {
    days: counted.length,
    driftMinPerMonth:
      counted.length < DRIFT_DAYS || steps.length > 0
        ? null
        : theilSen(
            counted.map((sun) => sun.middleMs / (30 * DAY_MS)),
            left,
          ),
    steps,
  };
}

const DAY_MS = 86_400_000;

/** Minutes of the UTC day at which the sun's middle stands, without the equation of time. */
function residueMin(middleMs: number): number {
  return (middleMs % DAY_MS) / 60_000 + equationOfTimeMin(middleMs);
}

function median(values: readonly number[]): number {
  return quantile(
    [...values].sort((a, b) => a - b),
    0.5,
  );
}

function theilSen(x: readonly number[], y: readonly number[]): number {
  const slopes: number[] = [];
  for (let i = 0; i < x.length; i++)
    for (let j = i + 1; j < x.length; j++) slopes.push((y[j] - y[i]) / (x[j] - x[i]));
  return median(slopes);
}
