import type { DaySums } from "./day-sums";
import { createDemandSums, type LegHour, legHoursOf, mergeDemand } from "./demand";
import { valuesExceeded } from "./distribution";
import { createImbalanceSums, mergeImbalance } from "./imbalance";
import { createLegDensitySums, type LegDensity, legDensityOf, mergeLegDensity } from "./leg-density";
import { createLegVoltageSums, mergeLegVoltage } from "./leg-voltage";
import type { ValueCounts } from "./value-counts";

/** Shares of the held time at which the neutral's current is given. */
const NEUTRAL_SHARES: readonly number[] = [0, 0.001, 0.01, 0.05, 0.1, 0.5];

/** Width of a bin of the voltages' picture, V. */
const BIN_V = 0.5;

/** Current in the neutral for loads in phase, |I1 − I2| (definitions D9): a lower bound where power factors differ. */
export type NeutralCurrent = {
  /** Held time with a value, s. */
  heldS: number;
  maxA: number;
  maxAtMs: number;
  /** Shares of the held time, ascending from 0, and the current that is reached or exceeded for each. */
  shares: number[];
  exceededA: number[];
  /** What currents are rounded to, A; the greatest is exact. */
  binA: number;
};

/** One bin of a leg's voltage, around `volts`: how many samples lie in it, over all of the leg's samples. */
export type VoltageBin = { volts: number; share: number };

/** How often each leg voltage occurs; a leg without voltage has no bins. */
export type VoltageBins = { binV: number; l1: VoltageBin[]; l2: VoltageBin[] };

/** Figures of the two legs over a period, beside those that every period has. Null where the log can't tell. */
export type LegFigures = {
  density: LegDensity | null;
  /** Mean load of each leg, W, over the time it is known. */
  meanL1W: number | null;
  meanL2W: number | null;
  /** Load of the legs by local hour, 24 of them. */
  hours: LegHour[];
  neutral: NeutralCurrent | null;
  voltage: VoltageBins | null;
};

/** Adds up what the days of a period say of its two legs, in order. */
export function legFigures(days: readonly { readonly sums: DaySums }[]): LegFigures {
  const legs = createLegDensitySums();
  const imbalance = createImbalanceSums();
  const demand = createDemandSums();
  const voltage = createLegVoltageSums();
  for (const { sums } of days) {
    mergeLegDensity(legs, sums.legs);
    mergeImbalance(imbalance, sums.imbalance);
    mergeDemand(demand, sums.demand);
    mergeLegVoltage(voltage, sums.voltage);
  }
  const hours = legHoursOf(demand);
  const { neutral } = imbalance;
  const l1 = binsOf(voltage.l1.counts);
  const l2 = binsOf(voltage.l2.counts);
  return {
    density: legDensityOf(legs),
    meanL1W: meanOf(hours.map(({ l1W, l1HeldS }) => [l1W, l1HeldS])),
    meanL2W: meanOf(hours.map(({ l2W, l2HeldS }) => [l2W, l2HeldS])),
    hours,
    neutral:
      neutral.totalS > 0
        ? {
            heldS: neutral.totalS,
            maxA: imbalance.maxNeutralA,
            maxAtMs: imbalance.maxNeutralAtMs,
            shares: [...NEUTRAL_SHARES],
            exceededA: valuesExceeded(neutral, NEUTRAL_SHARES),
            binA: neutral.binWidth,
          }
        : null,
    voltage: l1.length === 0 && l2.length === 0 ? null : { binV: BIN_V, l1, l2 },
  };
}

function meanOf(parts: readonly [value: number | null, heldS: number][]): number | null {
  let sum = 0;
  let heldS = 0;
  for (const [value, s] of parts) {
    if (value === null) continue;
    sum += value * s;
    heldS += s;
  }
  return heldS > 0 ? sum / heldS : null;
}

/** From the bin of the least voltage to that of the greatest, ascending, those without a sample among them. */
function binsOf(counted: ValueCounts): VoltageBin[] {
  if (counted.total === 0) return [];
  const counts = new Map<number, number>();
  let first = Number.POSITIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  counted.values.forEach((value, at) => {
    if (Number.isNaN(value)) return;
    const bin = Math.round(value / BIN_V);
    counts.set(bin, (counts.get(bin) ?? 0) + counted.counts[at]);
    first = Math.min(first, bin);
    last = Math.max(last, bin);
  });
  // A dead leg at 0 V leaves a hundred empty bins before the others; a damaged figure must not leave a million.
  if (last - first > 2000) {
    return [...counts]
      .sort(([a], [b]) => a - b)
      .map(([bin, count]) => ({ volts: bin * BIN_V, share: count / counted.total }));
  }
  return Array.from({ length: last - first + 1 }, (_, i) => ({
    volts: (first + i) * BIN_V,
    share: (counts.get(first + i) ?? 0) / counted.total,
  }));
}
