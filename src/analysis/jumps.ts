import type { Minutes } from "./minutes";
import type { Ratings } from "./ratings";
import type { NumericChannel } from "./series";

/** A value that the equipment can't have given, or a change faster than it can be. */
export type Jump = {
  channel: NumericChannel;
  /** Minute in which it stands, epoch ms. */
  atMs: number;
  /** The value before, in the channel's unit; null where the value itself is impossible. */
  from: number | null;
  to: number;
  /** Greatest change or value that is possible here. */
  limit: number;
};

/** Change of the state of charge between neighbouring minutes, points, that is let pass in any case. */
const SOC_STEP_PCT = 5;
/** Change of the inverter's temperature between neighbouring minutes, °C. */
const TEMPERATURE_STEP_C = 20;
/** Change of the battery's voltage between neighbouring minutes, as a share. */
const BATTERY_V_STEP = 0.25;
/** How far above its rating a value is still taken for a measurement. */
const BEYOND_RATING = 2;

/** Jumps of one channel that a day tells one by one; more are only counted. */
export const MAX_JUMPS = 50;

/**
 * What can't be in rows `from` to `to` of the minutes: a state of charge that moves faster than the battery's
 * current could move it, a temperature or battery voltage that leaps, a battery current or solar power over twice
 * its rating, a load over twice what the inverter's allowance and the pass-through let through. Ratings that aren't
 * given bound nothing. Common practice, no source: the bounds are wide, to catch faulty readings and not unusual
 * sites.
 *
 * @returns the first MAX_JUMPS of them and how many there are
 */
export function findJumps(
  minutes: Minutes,
  ratings: Ratings,
  from: number,
  to: number,
): { jumps: Jump[]; count: number } {
  const found: { jumps: Jump[]; count: number } = { jumps: [], count: 0 };
  const add = (jump: Jump) => {
    found.count++;
    if (found.jumps.length < MAX_JUMPS) found.jumps.push(jump);
  };
  for (const [channel, limitOf] of STEPS) {
    const column = minutes.channels[channel];
    if (column === undefined) continue;
    for (let row = Math.max(1, from); row < to; row++) {
      const apartMs = minutes.minuteMs[row] - minutes.minuteMs[row - 1];
      if (apartMs > 2 * MINUTE_MS) continue;
      const limit = limitOf(ratings, column.mean[row - 1]);
      const up = column.max[row] - column.min[row - 1];
      const down = column.max[row - 1] - column.min[row];
      if (up > limit && up >= down)
        add({
          channel,
          atMs: minutes.minuteMs[row],
          from: column.min[row - 1],
          to: column.max[row],
          limit,
        });
      else if (down > limit)
        add({
          channel,
          atMs: minutes.minuteMs[row],
          from: column.max[row - 1],
          to: column.min[row],
          limit,
        });
    }
  }
  for (const [channel, limitOf] of GREATEST) {
    const column = minutes.channels[channel];
    const limit = limitOf(ratings);
    if (column === undefined || limit === undefined) continue;
    for (let row = from; row < to; row++) {
      const value = column.max[row] >= -column.min[row] ? column.max[row] : column.min[row];
      if (Math.abs(value) > limit)
        add({ channel, atMs: minutes.minuteMs[row], from: null, to: value, limit });
    }
  }
  return found;
}

const MINUTE_MS = 60_000;

type StepLimit = (ratings: Ratings, before: number) => number;

const STEPS: readonly (readonly [NumericChannel, StepLimit])[] = [
  [
    "batterySocPct",
    ({ battery }) => {
      const { capacityAh, surgeA, maxDischargeA, maxChargeA } = battery;
      const greatestA = Math.max(surgeA ?? 0, maxDischargeA ?? 0, maxChargeA ?? 0);
      if (capacityAh === undefined || greatestA === 0) return SOC_STEP_PCT;
      return Math.max(SOC_STEP_PCT, (2 * greatestA * 100) / 60 / capacityAh);
    },
  ],
  ["inverterTempC", () => TEMPERATURE_STEP_C],
  ["batteryV", (_, before) => BATTERY_V_STEP * Math.abs(before)],
];

type GreatestOf = (ratings: Ratings) => number | undefined;

const passed = ({ legLimitW, passThroughA = 0, legNominalV, overload }: Ratings) =>
  BEYOND_RATING *
  Math.max(legLimitW * Math.max(1, ...overload.map((one) => one.upToRatio)), passThroughA * legNominalV);

const times = (rating: number | undefined) => (rating === undefined ? undefined : BEYOND_RATING * rating);

const greatestBatteryA: GreatestOf = ({ battery: { surgeA, maxDischargeA, maxChargeA } }) =>
  times(maxDischargeA === undefined ? surgeA : Math.max(surgeA ?? 0, maxDischargeA, maxChargeA ?? 0));

const GREATEST: readonly (readonly [NumericChannel, GreatestOf])[] = [
  ["loadL1W", passed],
  ["loadL2W", passed],
  ["loadW", (ratings) => 2 * passed(ratings)],
  ["solarW", ({ solarPeakW }) => times(solarPeakW)],
  ["batteryA", greatestBatteryA],
];
