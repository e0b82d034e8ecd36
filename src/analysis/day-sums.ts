import { type BatterySums, createBatterySums } from "./battery";
import { type CoverageSums, createCoverageSums } from "./coverage";
import { createDemandSums, type DemandSums } from "./demand";
import { createDeriveCounts, type DeriveCounts } from "./derive-columns";
import { createImbalanceSums, type ImbalanceSums } from "./imbalance";
import { createLegDensitySums, type LegDensitySums } from "./leg-density";
import { createLegVoltageSums, type LegVoltageSums } from "./leg-voltage";
import { createLoadDurationSums, type LoadDurationSums } from "./load-duration";
import type { LocalClock } from "./local-time";

/**
 * What one local day of samples is summed into. A month and a whole log are days added in order, each part by
 * its own `merge` function.
 */
export type DaySums = {
  /** yyyy-MM-dd at the site. */
  date: string;
  fromMs: number;
  toMs: number;
  counts: DeriveCounts;
  coverage: CoverageSums;
  imbalance: ImbalanceSums;
  demand: DemandSums;
  load: LoadDurationSums;
  voltage: LegVoltageSums;
  battery: BatterySums;
  legs: LegDensitySums;
};

/** The day that holds an instant: the last one of the list, or a new one after it. */
export function daySumsAt(days: DaySums[], clock: LocalClock, atMs: number): DaySums {
  const last = days[days.length - 1];
  if (last !== undefined && atMs < last.toMs) return last;
  const fromMs = clock.startOfDayMs(atMs);
  const day: DaySums = {
    date: clock.date(fromMs),
    fromMs,
    toMs: clock.nextDayMs(atMs),
    counts: createDeriveCounts(),
    coverage: createCoverageSums(),
    imbalance: createImbalanceSums(),
    demand: createDemandSums(),
    load: createLoadDurationSums(),
    voltage: createLegVoltageSums(),
    battery: createBatterySums(),
    legs: createLegDensitySums(),
  };
  days.push(day);
  return day;
}
