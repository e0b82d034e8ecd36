import {
  addBatteryCurrent,
  type BatteryCurrent,
  type BatteryCurrentSums,
  batteryCurrentOf,
  createBatteryCurrentSums,
  mergeBatteryCurrent,
} from "./battery-current";
import {
  addBatteryDischarges,
  type BatteryCapacity,
  type BatteryDischargeState,
  type BatteryDischargeSums,
  batteryCapacityOf,
  createBatteryDischargeSums,
  mergeBatteryDischarges,
} from "./battery-discharges";
import {
  addBatteryPower,
  type BatteryPower,
  type BatteryPowerSums,
  batteryPowerOf,
  createBatteryPowerSums,
  mergeBatteryPower,
} from "./battery-power";
import {
  addBatteryResistance,
  type BatteryResistance,
  type BatteryResistanceSums,
  batteryResistanceOf,
  createBatteryResistanceSums,
  mergeBatteryResistance,
} from "./battery-resistance";
import type { ChannelsPresent } from "./channels-present";
import type { Frame } from "./frame";
import type { LocalClock } from "./local-time";
import type { Ratings } from "./ratings";
import {
  addSocByHour,
  createSocByHourSums,
  mergeSocByHour,
  type SocByHourSums,
  type SocHour,
  socByHourOf,
} from "./soc-by-hour";

/** What the battery did on one local day, or on days added together. */
export type BatterySums = {
  current: BatteryCurrentSums;
  power: BatteryPowerSums;
  soc: SocByHourSums;
  resistance: BatteryResistanceSums;
  discharges: BatteryDischargeSums;
};

/** The battery over a period, definitions D13; null what the log has no channel for. */
export type Battery = {
  current: BatteryCurrent | null;
  power: BatteryPower | null;
  socByHour: SocHour[] | null;
  /** Null under 20 steps of its current, and where they explain nothing. */
  resistance: BatteryResistance | null;
  /** Null without a discharge of 30 points of SOC or more. */
  capacity: BatteryCapacity | null;
};

/** Sums of a day without samples. */
export function createBatterySums(): BatterySums {
  return {
    current: createBatteryCurrentSums(),
    power: createBatteryPowerSums(),
    soc: createSocByHourSums(),
    resistance: createBatteryResistanceSums(),
    discharges: createBatteryDischargeSums(),
  };
}

/**
 * Adds the battery's current, power and state of charge in rows `from` to `to`, which lie in one local day.
 *
 * @param state the discharge under way
 * @param day bounds of the local day
 * @param ratings in force that day
 * @param carried true where row `from` began the day before
 */
export function addBattery(
  frame: Frame,
  state: BatteryDischargeState,
  sums: BatterySums,
  present: ChannelsPresent,
  day: { readonly fromMs: number; readonly toMs: number },
  ratings: Ratings,
  clock: LocalClock,
  from: number,
  to: number,
  carried = false,
): void {
  addBatteryCurrent(frame, sums.current, ratings, from, to);
  if (present.battery) addBatteryPower(frame, sums.power, day, ratings, from, to, carried);
  addSocByHour(frame, sums.soc, clock, from, to);
  // A sample that only goes on over midnight is no step.
  if (!carried) addBatteryResistance(frame, sums.resistance, from, to);
  addBatteryDischarges(frame, state, sums.discharges, from, to, carried);
}

/** Adds a later day to the sums of the days before it; one kept by a version that had none adds nothing. */
export function mergeBattery(into: BatterySums, more: BatterySums | undefined): void {
  if (more === undefined) return;
  mergeBatteryCurrent(into.current, more.current);
  mergeBatteryPower(into.power, more.power);
  mergeSocByHour(into.soc, more.soc);
  mergeBatteryResistance(into.resistance, more.resistance);
  mergeBatteryDischarges(into.discharges, more.discharges);
}

/** The battery over a period from its sums; null where the log says nothing of it. */
export function batteryOf(sums: BatterySums): Battery | null {
  const current = batteryCurrentOf(sums.current);
  const power = batteryPowerOf(sums.power);
  const socByHour = socByHourOf(sums.soc);
  if (current === null && power === null && socByHour === null) return null;
  return {
    current,
    power,
    socByHour,
    resistance: batteryResistanceOf(sums.resistance),
    capacity: batteryCapacityOf(sums.discharges),
  };
}
