import { type Battery, batteryOf, createBatterySums, mergeBattery } from "./battery";
import { type CoverageSums, createCoverageSums, mergeCoverage } from "./coverage";
import type { DayRecord } from "./day-record";
import { createDemandSums, type Demand, demandOf, mergeDemand } from "./demand";
import { createImbalanceSums, imbalanceOf, mergeImbalance } from "./imbalance";
import { createLegVoltageSums, type LegVoltage, legVoltageOf, mergeLegVoltage } from "./leg-voltage";
import {
  createLoadDurationSums,
  type LoadDuration,
  loadDurationOf,
  mergeLoadDuration,
} from "./load-duration";
import type { Evidenced, Imbalance, ImbalanceInterval, NearLimitInterval, Quantity } from "./results";

/** The longest stretch on inverter inside near-limit intervals (definitions D4). */
export type LongestRunHeld = { durationS: number; fromMs: number; quantity: Quantity; peakLoading: number };

/** Figures of any period of local days: a day, a month, a whole log. Null where the log can't tell. */
export type PeriodFigures = {
  coverage: CoverageSums;
  /** Null where no leg is known. */
  imbalance: Imbalance | null;
  longestRunHeld: LongestRunHeld | null;
  /** Null where no interval is covered enough. */
  demand: Demand | null;
  /** Null where no load is known. */
  loadDuration: LoadDuration | null;
  /** Null where no leg voltage is in the log. */
  voltage: LegVoltage | null;
  /** Whether both legs' voltages and loads are known somewhere: without them an open neutral can't be suspected. */
  voltageByLoad: boolean;
  /** Null where the log says nothing of the battery. */
  battery: Battery | null;
};

/** What of a period its figures are made from: events belong to the period of their beginning. */
export type PeriodParts = {
  readonly days: readonly DayRecord[];
  readonly nearLimit: readonly NearLimitInterval[];
  readonly imbalance: readonly Evidenced<ImbalanceInterval>[];
};

/** Adds up the days of a period, in order, and reads its figures off. */
export function periodFigures(parts: PeriodParts): PeriodFigures {
  const coverage = createCoverageSums();
  const imbalance = createImbalanceSums();
  const demand = createDemandSums();
  const load = createLoadDurationSums();
  const voltage = createLegVoltageSums();
  const battery = createBatterySums();
  for (const { sums } of parts.days) {
    mergeCoverage(coverage, sums.coverage);
    mergeImbalance(imbalance, sums.imbalance);
    mergeDemand(demand, sums.demand);
    mergeLoadDuration(load, sums.load);
    mergeLegVoltage(voltage, sums.voltage);
    mergeBattery(battery, sums.battery);
  }
  const volts = legVoltageOf(voltage);
  const legs = Math.max(coverage.missingS[0], coverage.missingS[1]) < coverage.heldS;
  return {
    coverage,
    imbalance: legs ? imbalanceOf(imbalance, parts.imbalance) : null,
    longestRunHeld: longestOf(parts.nearLimit),
    demand: demandOf(demand, parts.days.filter((day) => day.samples > 0).length),
    loadDuration: loadDurationOf(load),
    voltage: volts,
    voltageByLoad: volts !== null && volts.l1 !== null && volts.l2 !== null && legs,
    battery: batteryOf(battery),
  };
}

function longestOf(intervals: readonly NearLimitInterval[]): LongestRunHeld | null {
  let longest: LongestRunHeld | null = null;
  for (const one of intervals) {
    if (one.longestOnInverterFromMs === null) continue;
    const run = {
      durationS: one.longestOnInverterS,
      fromMs: one.longestOnInverterFromMs,
      quantity: one.quantity,
      peakLoading: one.peakLoading,
    };
    if (longest === null || standsBefore(run, longest)) longest = run;
  }
  return longest;
}

/** The longer one, of equally long ones the earlier, then in the order of ties (definitions D0). */
function standsBefore(a: LongestRunHeld, b: LongestRunHeld): boolean {
  if (a.durationS !== b.durationS) return a.durationS > b.durationS;
  if (a.fromMs !== b.fromMs) return a.fromMs < b.fromMs;
  return TIES[a.quantity] < TIES[b.quantity];
}

const TIES = { total: 0, L1: 1, L2: 2, "pass-through": 3 } as const;
