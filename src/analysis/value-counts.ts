/** Up to so many distinct values they are kept as they are; beyond, rounded. */
const MAX_EXACT = 4096;

/**
 * How often each distinct value occurs: what quantiles over samples are read from without keeping the samples.
 * Values are exact while there are at most 4,096 distinct ones, then rounded to `roundTo`. Plain data: an open
 * hash table, whose layout follows from the values and their order alone.
 */
export type ValueCounts = {
  readonly roundTo: number;
  /** 0 while values are exact, `roundTo` once they are rounded. */
  resolution: number;
  distinct: number;
  total: number;
  /** Distinct values; NaN where a place is free. The length is a power of two. */
  values: Float64Array;
  counts: Float64Array;
};

/** No values, to be rounded to `roundTo` when there are too many distinct ones. */
export function createValueCounts(roundTo: number): ValueCounts {
  return {
    roundTo,
    resolution: 0,
    distinct: 0,
    total: 0,
    values: new Float64Array(0),
    counts: new Float64Array(0),
  };
}

/** Counts the values of rows `from` to `to`, one by one. NaN is passed over. */
export function addValueCounts(
  into: ValueCounts,
  column: Float64Array | Float32Array,
  from: number,
  to: number,
): void {
  let { values, counts } = into;
  let exact = into.resolution === 0;
  let mask = values.length - 1;
  let met = 0;
  for (let row = from; row < to; row++) {
    const value = column[row];
    // Most values have been met before and lie where they belong.
    if (exact && mask > 0) {
      const place = hashOf(value) & mask;
      if (values[place] === value) {
        counts[place]++;
        met++;
        continue;
      }
    }
    // Counting one anew may count them all anew.
    into.total += met;
    met = 0;
    countValue(into, value, 1);
    ({ values, counts } = into);
    exact = into.resolution === 0;
    mask = values.length - 1;
  }
  into.total += met;
}

/** Counts one value `times` over. NaN is passed over. */
export function countValue(into: ValueCounts, value: number, times: number): void {
  if (Number.isNaN(value)) return;
  const key = into.resolution === 0 ? value : rounded(value, into.roundTo);
  let place = placeOf(into.values, key);
  if (place < 0 || into.values[place] !== key) {
    if (into.resolution === 0 && into.distinct >= MAX_EXACT) {
      rebuild(into, into.values.length, into.roundTo);
      countValue(into, value, times);
      return;
    }
    if ((into.distinct + 1) * 2 > into.values.length) {
      rebuild(into, Math.max(64, into.values.length * 2), into.resolution);
      place = placeOf(into.values, key);
    }
    into.values[place] = key;
    into.distinct++;
  }
  into.counts[place] += times;
  into.total += times;
}

/** Adds another's counts; what comes of it is rounded where either is, or where together they are too many. */
export function mergeValueCounts(into: ValueCounts, more: ValueCounts): void {
  if (more.resolution !== 0 && into.resolution === 0) rebuild(into, into.values.length, into.roundTo);
  for (let i = 0; i < more.values.length; i++) countValue(into, more.values[i], more.counts[i]);
}

/**
 * Quantiles over all counted values with linear interpolation: type 7 of Hyndman and Fan, The American
 * Statistician 50 (1996) 361–365, DOI 10.1080/00031305.1996.10473566. NaN where there is no value.
 *
 * @param shares 0 to 1
 * @throws RangeError for a share outside 0 to 1
 */
export function quantilesOf(counted: ValueCounts, shares: readonly number[]): number[] {
  const ascending = counted.values.filter((value) => !Number.isNaN(value)).sort();
  const upTo = new Float64Array(ascending.length);
  let sum = 0;
  for (let i = 0; i < ascending.length; i++) {
    sum += counted.counts[placeOf(counted.values, ascending[i])];
    upTo[i] = sum;
  }
  const at = (rank: number) => {
    let i = 0;
    while (upTo[i] <= rank) i++;
    return ascending[i];
  };
  return shares.map((share) => {
    if (!(share >= 0 && share <= 1))
      throw new RangeError(`quantilesOf requires shares from 0 to 1, got ${share}`);
    if (sum === 0) return Number.NaN;
    const place = (sum - 1) * share;
    const below = Math.floor(place);
    const low = at(below);
    return low + (at(Math.min(below + 1, sum - 1)) - low) * (place - below);
  });
}

/** Where a value is, or the free place where it belongs; −1 in a table without places. */
function placeOf(values: Float64Array, value: number): number {
  const mask = values.length - 1;
  if (mask < 0) return -1;
  let place = hashOf(value) & mask;
  while (values[place] !== value && !Number.isNaN(values[place])) place = (place + 1) & mask;
  return place;
}

/** The fraction must tell places apart: neighbours in a log differ by hundredths. */
function hashOf(value: number): number {
  return Math.imul((value * 65_536) | 0, 0x9e3779b1) >>> 12;
}

function rebuild(counted: ValueCounts, length: number, resolution: number): void {
  const { values, counts } = counted;
  counted.values = new Float64Array(length).fill(Number.NaN);
  counted.counts = new Float64Array(length);
  counted.resolution = resolution;
  counted.distinct = 0;
  counted.total = 0;
  for (let i = 0; i < values.length; i++) countValue(counted, values[i], counts[i]);
}

function rounded(value: number, to: number): number {
  // Hundredths by division: 12013 / 100 is the number that 120.13 is written as.
  const perUnit = Math.round(1 / to);
  return Math.round(value * perUnit) / perUnit;
}
