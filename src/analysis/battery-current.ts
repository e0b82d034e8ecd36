import { addToDistribution, createDistribution, type Distribution, mergeDistribution } from "./distribution";
import type { Frame } from "./frame";
import type { Ratings } from "./ratings";

/** Width of a bin of current, A: figures read from the bins are right to half of it. */
const BIN_A = 1;

/**
 * Battery current of one local day, or of days added together. Amperes are positive when discharging, as those of
 * charging are given by their size. NaN: no such current, or no rating to hold it against.
 */
export type BatteryCurrentSums = {
  maxDischargeA: number;
  maxDischargeAtMs: number;
  maxChargeA: number;
  maxChargeAtMs: number;
  /** Held time above the ratings in force, s; NaN where no day has the rating. */
  aboveMaxDischargeS: number;
  aboveMaxChargeS: number;
  aboveFuseS: number;
  above80PctFuseS: number;
  /** Held time in which the current is watts over volts, for want of a measured one. */
  reckonedS: number;
  /** Held time by current, for each capacity that the battery had. */
  banks: { capacityAh: number; amps: Distribution }[];
};

/** Held time at one current. */
export type HeldCurrent = { amps: number; heldS: number };

/** Battery current over a period, definitions D13. Instants are epoch ms. */
export type BatteryCurrent = {
  /** Held time with a current, s, and of it the part in which it is watts over volts. */
  heldS: number;
  reckonedS: number;
  /** Null where the battery never gave, or never took, anything. */
  maxDischargeA: number | null;
  maxDischargeAtMs: number | null;
  maxChargeA: number | null;
  maxChargeAtMs: number | null;
  /** Size of the current, charging or discharging, exceeded for 1 % of the held time, right to half of `binA`. */
  p99A: number;
  /** Held time above the ratings in force, s; null where none is given. */
  aboveMaxDischargeS: number | null;
  aboveMaxChargeS: number | null;
  aboveFuseS: number | null;
  above80PctFuseS: number | null;
  /** Size of the current over the capacity in Ah; null where no capacity is given. */
  maxCRate: number | null;
  p99CRate: number | null;
  /** Held time by current, ascending, one entry for each ampere met: negative when charging. */
  binA: number;
  bins: HeldCurrent[];
};

/** Sums of a day without samples. */
export function createBatteryCurrentSums(): BatteryCurrentSums {
  return {
    maxDischargeA: Number.NaN,
    maxDischargeAtMs: Number.NaN,
    maxChargeA: Number.NaN,
    maxChargeAtMs: Number.NaN,
    aboveMaxDischargeS: Number.NaN,
    aboveMaxChargeS: Number.NaN,
    aboveFuseS: Number.NaN,
    above80PctFuseS: Number.NaN,
    reckonedS: 0,
    banks: [],
  };
}

/**
 * Adds the battery current of rows `from` to `to`, which lie in one local day (definitions D13): the greatest each
 * way, held time by current, and held time above the ratings. The current is measured, else battery W / battery V;
 * what is missing counts in nothing.
 *
 * @param ratings in force that day
 */
export function addBatteryCurrent(
  frame: Frame,
  sums: BatteryCurrentSums,
  ratings: Ratings,
  from: number,
  to: number,
): void {
  const amps = currentOf(frame, sums, from, to);
  if (amps === null) return;
  addExtremes(frame, sums, ratings, amps, from, to);
  const capacityAh = ratings.battery.capacityAh ?? Number.NaN;
  addToDistribution(bankOf(sums, capacityAh).amps, amps, frame.holdS, from, to);
}

/** The column of amperes: as measured where no sample is missing, else a copy with watts over volts in the holes. */
function currentOf(
  { raw, holdS, capacity }: Frame,
  sums: BatteryCurrentSums,
  from: number,
  to: number,
): Float32Array | Float64Array | null {
  const { batteryA, batteryW, batteryV } = raw;
  if (batteryW === undefined || batteryV === undefined) return batteryA ?? null;
  let row = from;
  if (batteryA !== undefined) {
    while (row < to && !Number.isNaN(batteryA[row])) row++;
    if (row === to) return batteryA;
  }
  const amps = new Float64Array(capacity);
  if (batteryA !== undefined) amps.set(batteryA.subarray(from, row), from);
  for (; row < to; row++) {
    const measured = batteryA === undefined ? Number.NaN : batteryA[row];
    if (!Number.isNaN(measured)) {
      amps[row] = measured;
      continue;
    }
    const volts = batteryV[row];
    amps[row] = volts > 0 ? batteryW[row] / volts : Number.NaN;
    if (!Number.isNaN(amps[row])) sums.reckonedS += holdS[row];
  }
  return amps;
}

/** The greatest current each way with its time, and the time above the ratings. */
function addExtremes(
  { timesMs, holdS }: Frame,
  sums: BatteryCurrentSums,
  { battery: { maxDischargeA, maxChargeA, fuseA } }: Ratings,
  amps: Float32Array | Float64Array,
  from: number,
  to: number,
): void {
  if (maxDischargeA !== undefined) sums.aboveMaxDischargeS = orNothing(sums.aboveMaxDischargeS);
  if (maxChargeA !== undefined) sums.aboveMaxChargeS = orNothing(sums.aboveMaxChargeS);
  if (fuseA !== undefined) {
    sums.aboveFuseS = orNothing(sums.aboveFuseS);
    sums.above80PctFuseS = orNothing(sums.above80PctFuseS);
  }
  const dischargeLimitA = maxDischargeA ?? Number.POSITIVE_INFINITY;
  const chargeLimitA = maxChargeA ?? Number.POSITIVE_INFINITY;
  const fuse = fuseA ?? Number.POSITIVE_INFINITY;
  const watchedA = 0.79 * fuse;
  // Most currents lie within what was met before and below the ratings: they need nothing.
  let usualFromA = -Math.min(chargeLimitA, watchedA, orNothing(sums.maxChargeA));
  let usualToA = Math.min(dischargeLimitA, watchedA, orNothing(sums.maxDischargeA));
  for (let row = from; row < to; row++) {
    const ampsHere = amps[row];
    if (ampsHere >= usualFromA && ampsHere <= usualToA) continue;
    if (Number.isNaN(ampsHere)) continue;
    const size = Math.abs(ampsHere);
    const hold = holdS[row];
    if (ampsHere > 0) {
      if (!(ampsHere <= sums.maxDischargeA)) {
        sums.maxDischargeA = ampsHere;
        sums.maxDischargeAtMs = timesMs[row];
        usualToA = Math.min(dischargeLimitA, watchedA, ampsHere);
      }
      if (ampsHere > dischargeLimitA) sums.aboveMaxDischargeS += hold;
    } else {
      if (!(size <= sums.maxChargeA)) {
        sums.maxChargeA = size;
        sums.maxChargeAtMs = timesMs[row];
        usualFromA = -Math.min(chargeLimitA, watchedA, size);
      }
      if (size > chargeLimitA) sums.aboveMaxChargeS += hold;
    }
    // 5 A > 4 · rating is 80 % without a fraction that no double holds exactly.
    if (5 * size > 4 * fuse) sums.above80PctFuseS += hold;
    if (size > fuse) sums.aboveFuseS += hold;
  }
}

/** Adds a later day to the sums of the days before it. */
export function mergeBatteryCurrent(into: BatteryCurrentSums, more: BatteryCurrentSums): void {
  if (!(more.maxDischargeA <= into.maxDischargeA) && !Number.isNaN(more.maxDischargeA)) {
    into.maxDischargeA = more.maxDischargeA;
    into.maxDischargeAtMs = more.maxDischargeAtMs;
  }
  if (!(more.maxChargeA <= into.maxChargeA) && !Number.isNaN(more.maxChargeA)) {
    into.maxChargeA = more.maxChargeA;
    into.maxChargeAtMs = more.maxChargeAtMs;
  }
  into.aboveMaxDischargeS = sumOf(into.aboveMaxDischargeS, more.aboveMaxDischargeS);
  into.aboveMaxChargeS = sumOf(into.aboveMaxChargeS, more.aboveMaxChargeS);
  into.aboveFuseS = sumOf(into.aboveFuseS, more.aboveFuseS);
  into.above80PctFuseS = sumOf(into.above80PctFuseS, more.above80PctFuseS);
  into.reckonedS += more.reckonedS;
  for (const { capacityAh, amps } of more.banks) mergeDistribution(bankOf(into, capacityAh).amps, amps);
}

/** Battery current of a period from its sums; null where the log has none. */
export function batteryCurrentOf(sums: BatteryCurrentSums): BatteryCurrent | null {
  const all = createDistribution(BIN_A);
  for (const { amps } of sums.banks) mergeDistribution(all, amps);
  if (!(all.totalS > 0)) return null;
  const known = (value: number) => (Number.isNaN(value) ? null : value);
  const [p99A] = sizesExceeded([{ per: 1, amps: all }]);
  const rated = sums.banks.filter(({ capacityAh, amps }) => capacityAh > 0 && amps.totalS > 0);
  const [p99CRate, maxCRate] = sizesExceeded(
    rated.map(({ capacityAh, amps }) => ({ per: capacityAh, amps })),
  );
  const bins: HeldCurrent[] = [];
  all.heldS.forEach((heldS, at) => {
    if (heldS > 0) bins.push({ amps: (all.firstBin + at) * BIN_A, heldS });
  });
  return {
    heldS: all.totalS,
    reckonedS: sums.reckonedS,
    maxDischargeA: known(sums.maxDischargeA),
    maxDischargeAtMs: known(sums.maxDischargeAtMs),
    maxChargeA: known(sums.maxChargeA),
    maxChargeAtMs: known(sums.maxChargeAtMs),
    p99A,
    aboveMaxDischargeS: known(sums.aboveMaxDischargeS),
    aboveMaxChargeS: known(sums.aboveMaxChargeS),
    aboveFuseS: known(sums.aboveFuseS),
    above80PctFuseS: known(sums.above80PctFuseS),
    maxCRate: known(maxCRate),
    p99CRate: known(p99CRate),
    binA: BIN_A,
    bins,
  };
}

/** Sizes of current, in units of each bank's own, exceeded for 1 % of the held time, and the greatest; NaN for none. */
function sizesExceeded(
  banks: readonly { readonly per: number; readonly amps: Distribution }[],
): [p99: number, greatest: number] {
  const sizes: { size: number; heldS: number }[] = [];
  let totalS = 0;
  let greatest = Number.NaN;
  for (const { per, amps } of banks) {
    const most = Math.max(Math.abs(amps.least), Math.abs(amps.greatest));
    if (!(most / per <= greatest)) greatest = most / per;
    totalS += amps.totalS;
    amps.heldS.forEach((heldS, at) => {
      const middle = Math.abs((amps.firstBin + at) * amps.binWidth);
      if (heldS > 0) sizes.push({ size: Math.min(middle, most) / per, heldS });
    });
  }
  sizes.sort((a, b) => b.size - a.size);
  let aboveS = 0;
  // The last digits of a sum must not decide for the next bin.
  const found = sizes.find(({ heldS }) => {
    aboveS += heldS;
    return aboveS >= 0.01 * totalS * (1 - 1e-12);
  });
  return [found === undefined ? Number.NaN : found.size, greatest];
}

/** The bank of a capacity, NaN for one that isn't given; a new one where there is none so far. */
function bankOf(sums: BatteryCurrentSums, capacityAh: number): BatteryCurrentSums["banks"][number] {
  const found = sums.banks.find((bank) => Object.is(bank.capacityAh, capacityAh));
  if (found !== undefined) return found;
  const bank = { capacityAh, amps: createDistribution(BIN_A) };
  sums.banks.push(bank);
  return bank;
}

function orNothing(value: number): number {
  return Number.isNaN(value) ? 0 : value;
}

function sumOf(a: number, b: number): number {
  if (Number.isNaN(a)) return b;
  return Number.isNaN(b) ? a : a + b;
}
