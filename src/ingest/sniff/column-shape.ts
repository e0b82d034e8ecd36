import type { ColumnFacts } from "./column-facts";

/** How a numeric column moves over the sampled rows. */
export type ColumnShape = {
  /** First and last percentile. */
  readonly low: number;
  readonly high: number;
  /** Greatest magnitude. */
  readonly size: number;
  /** Part of the values that are 0, or as good as. */
  readonly zeroShare: number;
  /** Part of the values that are clearly below 0, above 0. */
  readonly negativeShare: number;
  readonly positiveShare: number;
  /** Mean step from row to row over the range between the percentiles; small for what moves slowly. */
  readonly roughness: number;
  /** Whether it rises, or stays, nearly always: a running total. */
  readonly counts: boolean;
  /** What it rises in all. */
  readonly risen: number;
  /** How often it rises. */
  readonly rises: number;
  /** Whether it rises by the same at nearly every row: a row's number. */
  readonly numbers: boolean;
  /**
   * How much it looks like the sun's: 1 where it is zero for one long part of the day and rises and falls in the
   * other; 0 where it isn't; 0.5 where the rows don't show a day.
   */
  readonly sunny: number;
};

/** Shape of a column. `timesMs` are the rows' times, of whatever zone, NaN where unknown. */
export function columnShape(facts: ColumnFacts, timesMs: Float64Array): ColumnShape {
  const { values } = facts;
  const sorted = values.filter((v) => !Number.isNaN(v)).sort();
  const n = sorted.length;
  const at = (q: number) => sorted[Math.min(n - 1, Math.floor(q * n))] ?? Number.NaN;
  const low = at(0.01);
  const high = at(0.99);
  const size = n === 0 ? 0 : Math.max(Math.abs(sorted[0]), Math.abs(sorted[n - 1]));
  const still = 0.005 * Math.max(Math.abs(low), Math.abs(high)) || 0;
  let zero = 0;
  let negative = 0;
  let positive = 0;
  let moved = 0;
  let steps = 0;
  let up = 0;
  let down = 0;
  let resets = 0;
  let risen = 0;
  let same = 0;
  let stepBefore = Number.NaN;
  let before = Number.NaN;
  for (let i = 0; i < values.length; i++) {
    const v = values[i];
    if (Number.isNaN(v)) continue;
    if (Math.abs(v) <= still) zero++;
    else if (v < 0) negative++;
    else positive++;
    if (!Number.isNaN(before)) {
      steps++;
      moved += Math.abs(v - before);
      // Of the rows that are sampled every so many, steps may differ by one.
      if (v !== before && Math.abs(v - before - stepBefore) <= 1.001 && v - before >= 1) same++;
      stepBefore = v - before;
      if (v > before) {
        up++;
        risen += v - before;
      } else if (v < 0.05 * before) resets++;
      else if (v < before) down++;
    }
    before = v;
  }
  const numbers = steps > 5 && up >= 0.98 * steps && same >= 0.95 * (steps - 1) && facts.decimals === 0;
  return {
    numbers,
    risen,
    rises: up,
    low,
    high,
    size,
    zeroShare: n === 0 ? 0 : zero / n,
    negativeShare: n === 0 ? 0 : negative / n,
    positiveShare: n === 0 ? 0 : positive / n,
    roughness: steps === 0 || high === low ? 0 : moved / steps / (high - low),
    // A total falls only to start again.
    counts:
      !numbers && n >= 10 && sorted[0] >= 0 && sorted[n - 1] > 0 && down <= 0.005 * up && resets <= 0.2 * up,
    sunny: sunnyShape(values, timesMs, size),
  };
}

const DAY_MS = 86_400_000;
const BINS = 24;

/** Of rows that show no whole day: whether it fades out to a long zero, or in from one, without a step. */
function fades(values: Float64Array, size: number): boolean {
  const n = values.length;
  const still = 0.002 * size;
  let from = 0;
  let to = n;
  while (from < n && !(values[from] > still)) from++;
  while (to > from && !(values[to - 1] > still)) to--;
  const dark = Math.max(from, n - to);
  if (dark < 0.06 * n || to - from < 0.1 * n) return false;
  const edges: number[] = [];
  if (from > 0.06 * n) edges.push(values[from]);
  if (n - to > 0.06 * n) edges.push(values[to - 1]);
  let zero = 0;
  for (let i = from; i < to; i++) if (values[i] <= still) zero++;
  return edges.every((v) => v < 0.08 * size) && zero <= 0.02 * (to - from);
}

function sunnyShape(values: Float64Array, timesMs: Float64Array, size: number): number {
  const sums = new Float64Array(BINS);
  const counts = new Int32Array(BINS);
  const lit = new Int32Array(BINS);
  let negative = 0;
  for (let i = 0; i < values.length; i++) {
    const v = values[i];
    if (Number.isNaN(v) || Number.isNaN(timesMs[i])) continue;
    const bin = Math.floor((((timesMs[i] % DAY_MS) + DAY_MS) % DAY_MS) / (DAY_MS / BINS));
    sums[bin] += v;
    counts[bin]++;
    if (v > 0.01 * size) lit[bin]++;
    if (v < -0.03 * size) negative++;
  }
  const seen = counts.filter((c) => c > 0).length;
  if (negative > 2) return 0;
  if (size === 0) return 0.5;
  if (seen < 16) return fades(values, size) ? 0.9 : 0.5;
  let total = 0;
  let best = 0;
  for (let b = 0; b < BINS; b++) {
    if (counts[b] > 0) {
      sums[b] /= counts[b];
      total += sums[b];
      best = Math.max(best, sums[b]);
    }
  }
  if (best === 0 || total === 0) return 0.2;
  const dark = (b: number) =>
    counts[b % BINS] === 0 || (lit[b % BINS] <= 0.02 * counts[b % BINS] && sums[b % BINS] < 0.01 * best);
  let longest = 0;
  let end = 0;
  for (let b = 0, run = 0; b < 2 * BINS; b++) {
    run = dark(b) ? run + 1 : 0;
    if (run > longest) {
      longest = Math.min(run, BINS);
      end = b;
    }
  }
  if (longest < 5 || longest > 19) return 0;
  // The lit part is one piece, high in its middle and low at both ends.
  const lightHours = BINS - longest;
  let holes = 0;
  for (let k = 1; k <= lightHours; k++) if (dark(end + k)) holes++;
  const edge = Math.max(sums[(end + 1) % BINS], sums[(end + lightHours) % BINS]);
  let middle = 0;
  for (let k = 1; k <= lightHours; k++) {
    const share = (k - 0.5) / lightHours;
    if (share > 0.25 && share < 0.75) middle += sums[(end + k) % BINS];
  }
  const humped = middle / total;
  return holes <= 1 && edge < 0.45 * best && humped > 0.55 && lightHours >= 6 ? 1 : 0.1;
}
