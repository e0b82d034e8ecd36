import { deserialize } from "node:v8";
import { createBatterySums } from "../../src/analysis/battery";
import type { DaySums } from "../../src/analysis/day-sums";
import { createDemandSums } from "../../src/analysis/demand";
import { createImbalanceSums } from "../../src/analysis/imbalance";
import { createLegDensitySums } from "../../src/analysis/leg-density";

/**
 * A day's sums from their stored bytes. Days that an earlier version of the program stored and no recompute has
 * replaced yet lack what was added since: it stands there as of a day without samples.
 */
export function daySumsOf(bytes: Buffer): DaySums {
  const sums = deserialize(bytes) as DaySums;
  return {
    ...sums,
    battery: sums.battery ?? createBatterySums(),
    legs: sums.legs ?? createLegDensitySums(),
    imbalance: { ...createImbalanceSums(), ...sums.imbalance },
    demand: { ...createDemandSums(), ...sums.demand },
  };
}
