import {
  addBatteryCurrent,
  type BatteryCurrent,
  type BatteryCurrentSums,
  batteryCurrentOf,
  createBatteryCurrentSums,
  mergeBatteryCurrent,
} from "./battery-current";
import {
  addBatteryPower,
  type BatteryPower,
  type BatteryPowerSums,
  batteryPowerOf,
  createBatteryPowerSums,
  mergeBatteryPower,
} from "./battery-power";
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
export type BatterySums = { current: BatteryCurrentSums; power: BatteryPowerSums; soc: SocByHourSums };

/** The battery over a period, definitions D13; null what the log has no channel for. */
export type Battery = {
  current: BatteryCurrent | null;
  power: BatteryPower | null;
  socByHour: SocHour[] | null;
};

/** Sums of a day without samples. */
export function createBatterySums(): BatterySums {
  return {
    current: createBatteryCurrentSums(),
    power: createBatteryPowerSums(),
    soc: createSocByHourSums(),
  };
}

/**
 * Adds the battery's current, power and state of charge in rows `from` to `to`, which lie in one local day.
 *
 * @param day bounds of the local day
 * @param ratings in force that day
 * @param carried true where row `from` began the day before
 */
export function addBattery(
  frame: Frame,
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
}

/** Adds a later day to the sums of the days before it; one kept by a version that had none adds nothing. */
export function mergeBattery(into: BatterySums, more: BatterySums | undefined): void {
  if (more === undefined) return;
  mergeBatteryCurrent(into.current, more.current);
  mergeBatteryPower(into.power, more.power);
  mergeSocByHour(into.soc, more.soc);
}

/** The battery over a period from its sums; null where the log says nothing of it. */
export function batteryOf(sums: BatterySums): Battery | null {
  const current = batteryCurrentOf(sums.current);
  const power = batteryPowerOf(sums.power);
  const socByHour = socByHourOf(sums.soc);
  return current === null && power === null && socByHour === null ? null : { current, power, socByHour };
}
