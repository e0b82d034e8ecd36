import type { Frame } from "./frame";
import { quantile } from "./quantile";

/** Charging by more than this ends a discharge, A: less is what meters show of nothing. Common practice, no source. */
const CHARGING_A = 1;

/** A discharge says something of the capacity from so many points of SOC on (definitions D13). */
const MIN_FALL_PCT = 30;

/** A discharge that took the state of charge down far enough. Instants are epoch ms. */
export type Discharge = {
  fromMs: number;
  toMs: number;
  fromSocPct: number;
  toSocPct: number;
  /** Drawn between the two, Ah. */
  drawnAh: number;
};

/** The discharge under way, carried from chunk to chunk; NaN where there is none, or no SOC so far. */
export type BatteryDischargeState = {
  fromMs: number;
  fromSocPct: number;
  /** Drawn since `fromMs`, A · s. */
  drawnAs: number;
  /** Where the SOC last became another one, and what was drawn by then. */
  atMs: number;
  socPct: number;
  atDrawnAs: number;
};

/** Deep discharges that ended on a local day, or on days added together, ascending. */
export type BatteryDischargeSums = { found: Discharge[] };

/** Capacity of a battery by its deep discharges: ampere-hours drawn over the fall of SOC, definitions D13. */
export type BatteryCapacity = {
  /** All that was drawn over all that SOC fell, Ah. */
  ah: number;
  /** Quarters of the single discharges, Ah; null under 3 of them. */
  q1Ah: number | null;
  q3Ah: number | null;
  discharges: Discharge[];
};

/** The state before the first row. */
export function createBatteryDischargeState(): BatteryDischargeState {
  return {
    fromMs: Number.NaN,
    fromSocPct: Number.NaN,
    drawnAs: 0,
    atMs: Number.NaN,
    socPct: Number.NaN,
    atDrawnAs: 0,
  };
}

/** Sums of a day without samples. */
export function createBatteryDischargeSums(): BatteryDischargeSums {
  return { found: [] };
}

/**
 * Follows the discharge under way over rows `from` to `to`. One begins at a sample that discharges with a known SOC and
 * ends at one that charges by more than 1 A, at an unknown current, or at a gap; what is drawn counts from the first
 * SOC to where it last became another one. Those that fell by 30 points or more are found.
 *
 * @param carried true where row `from` began the day before: it adds what it draws, and is no sample
 */
export function addBatteryDischarges(
  { raw, timesMs, holdS, gapAfter }: Frame,
  state: BatteryDischargeState,
  sums: BatteryDischargeSums,
  from: number,
  to: number,
  carried = false,
): void {
  const { batteryA, batterySocPct } = raw;
  if (batteryA === undefined || batterySocPct === undefined) return;
  let row = from;
  if (carried) {
    if (!Number.isNaN(state.fromMs)) state.drawnAs += batteryA[row] * holdS[row];
    row++;
  }
  let open = !Number.isNaN(state.fromMs);
  let { drawnAs, atMs, socPct, atDrawnAs } = state;
  for (; row < to; row++) {
    const amps = batteryA[row];
    if (open) {
      // A run under way has a row before this one.
      const gap = gapAfter[row - 1] === 1;
      const soc = batterySocPct[row];
      // Most samples show the state of charge of the one before.
      if (soc !== socPct && !gap && !Number.isNaN(soc)) {
        atMs = timesMs[row];
        socPct = soc;
        atDrawnAs = drawnAs;
      }
      if (amps >= -CHARGING_A && !gap) {
        drawnAs += amps * holdS[row];
        continue;
      }
      state.atMs = atMs;
      state.socPct = socPct;
      state.atDrawnAs = atDrawnAs;
      closeBatteryDischarge(state, sums);
      open = false;
    }
    if (!(amps > 0)) continue;
    const soc = batterySocPct[row];
    if (Number.isNaN(soc)) continue;
    open = true;
    state.fromMs = timesMs[row];
    state.fromSocPct = soc;
    atMs = timesMs[row];
    socPct = soc;
    atDrawnAs = 0;
    drawnAs = amps * holdS[row];
  }
  if (open) {
    state.drawnAs = drawnAs;
    state.atMs = atMs;
    state.socPct = socPct;
    state.atDrawnAs = atDrawnAs;
  }
}

/** Ends the discharge under way, if any, also where no more samples come. */
export function closeBatteryDischarge(state: BatteryDischargeState, sums: BatteryDischargeSums): void {
  const { fromMs, fromSocPct, atMs, socPct, atDrawnAs } = state;
  if (fromSocPct - socPct >= MIN_FALL_PCT && atDrawnAs > 0) {
    sums.found.push({
      fromMs,
      toMs: atMs,
      fromSocPct,
      toSocPct: socPct,
      drawnAh: atDrawnAs / 3600,
    });
  }
  Object.assign(state, createBatteryDischargeState());
}

/** Adds a later day to the sums of the days before it. */
export function mergeBatteryDischarges(into: BatteryDischargeSums, more: BatteryDischargeSums): void {
  into.found.push(...more.found);
}

/** The capacity that deep discharges give; null without any. */
export function batteryCapacityOf({ found }: BatteryDischargeSums): BatteryCapacity | null {
  if (found.length === 0) return null;
  let drawnAh = 0;
  let fallPct = 0;
  for (const one of found) {
    drawnAh += one.drawnAh;
    fallPct += one.fromSocPct - one.toSocPct;
  }
  const single = Float64Array.from(found, capacityOf).sort();
  const spread = single.length >= 3;
  return {
    ah: (100 * drawnAh) / fallPct,
    q1Ah: spread ? quantile(single, 0.25) : null,
    q3Ah: spread ? quantile(single, 0.75) : null,
    discharges: found.map((one) => ({ ...one })),
  };
}

function capacityOf({ drawnAh, fromSocPct, toSocPct }: Discharge): number {
  return (100 * drawnAh) / (fromSocPct - toSocPct);
}
