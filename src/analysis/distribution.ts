/** Bins are made room for in blocks, so that the stretch kept doesn't hang on the order of the values. */
const BLOCK_BINS = 64;

/** Bins lie within ± this many: what is beyond counts in the outermost one. */
const MAX_BIN = 32_768;

/**
 * Held time by value, in bins of equal width: what a duration curve is read from. Bin `b` holds the values from
 * (b − ½) · binWidth up to, not including, (b + ½) · binWidth, and a value is read as its bin's middle, so that
 * figures are right to half a bin. Plain data; only the stretch of bins in use is kept.
 */
export type Distribution = {
  readonly binWidth: number;
  /** Number of the first bin kept. */
  firstBin: number;
  /** Held time per bin, s. */
  heldS: Float64Array;
  totalS: number;
  /** The least and the greatest value, exactly; NaN where there is none. */
  least: number;
  greatest: number;
};

/**
 * A distribution without values.
 *
 * @throws RangeError for a width that isn't positive
 */
export function createDistribution(binWidth: number): Distribution {
  if (!(binWidth > 0)) throw new RangeError(`createDistribution requires a positive width, got ${binWidth}`);
  return {
    binWidth,
    firstBin: 0,
    heldS: new Float64Array(0),
    totalS: 0,
    least: Number.NaN,
    greatest: Number.NaN,
  };
}

/**
 * Adds values of rows `from` to `to`, each for the time it is held. NaN is passed over.
 *
 * @param holdS seconds
 */
export function addToDistribution(
  distribution: Distribution,
  values: Float64Array | Float32Array,
  holdS: Float64Array,
  from: number,
  to: number,
): void {
  const perUnit = 1 / distribution.binWidth;
  let { firstBin, heldS, totalS, least, greatest } = distribution;
  let beyond = isBeyond(least, greatest, perUnit);
  for (let row = from; row < to; row++) {
    const value = values[row];
    // Between the least and the greatest so far there is room already.
    if (!(value >= least && value <= greatest)) {
      if (Number.isNaN(value)) continue;
      if (!(value >= least)) least = value;
      if (!(value <= greatest)) greatest = value;
      const bin = clampedBin(Math.floor(value * perUnit + 0.5));
      makeRoom(distribution, bin, bin);
      ({ firstBin, heldS } = distribution);
      beyond = isBeyond(least, greatest, perUnit);
    }
    const hold = holdS[row];
    const bin = Math.floor(value * perUnit + 0.5);
    heldS[(beyond ? clampedBin(bin) : bin) - firstBin] += hold;
    totalS += hold;
  }
  distribution.totalS = totalS;
  distribution.least = least;
  distribution.greatest = greatest;
}

/**
 * Adds another distribution's held time.
 *
 * @throws RangeError where their bins differ in width
 */
export function mergeDistribution(into: Distribution, more: Distribution): void {
  if (into.binWidth !== more.binWidth) {
    throw new RangeError(
      `mergeDistribution requires bins of one width, got ${into.binWidth} and ${more.binWidth}`,
    );
  }
  if (Number.isNaN(more.least)) return;
  makeRoom(into, more.firstBin, more.firstBin + more.heldS.length - 1);
  const shift = more.firstBin - into.firstBin;
  for (let i = 0; i < more.heldS.length; i++) into.heldS[i + shift] += more.heldS[i];
  into.totalS += more.totalS;
  if (!(into.least <= more.least)) into.least = more.least;
  if (!(into.greatest >= more.greatest)) into.greatest = more.greatest;
}

/**
 * The value that is reached or exceeded for a share of the held time, to half a bin: a point of the duration
 * curve. At 0 the greatest value, at 1 the least; NaN without held time.
 *
 * @param share 0 to 1
 * @throws RangeError for a share outside 0 to 1
 */
export function valueExceeded(distribution: Distribution, share: number): number {
  if (!(share >= 0 && share <= 1))
    throw new RangeError(`valueExceeded requires a share from 0 to 1, got ${share}`);
  return valuesExceeded(distribution, [share])[0];
}

/**
 * As `valueExceeded`, for many shares in one go.
 *
 * @param shares ascending, 0 to 1
 */
export function valuesExceeded(distribution: Distribution, shares: readonly number[]): number[] {
  const { heldS, totalS, greatest } = distribution;
  if (!(totalS > 0)) return shares.map(() => Number.NaN);
  let index = heldS.length;
  let aboveS = 0;
  return shares.map((share) => {
    if (share === 0) return greatest;
    // The last digits of a sum must not decide for the next bin.
    const wantedS = share * totalS * (1 - 1e-12);
    while (index > 0 && aboveS < wantedS) aboveS += heldS[--index];
    return readAt(distribution, index);
  });
}

/**
 * The share of the held time that lies above a value, 0 to 1, values being read as their bin's middle; NaN
 * without held time.
 */
export function shareAbove(distribution: Distribution, value: number): number {
  const { heldS, totalS } = distribution;
  if (!(totalS > 0)) return Number.NaN;
  let aboveS = 0;
  for (let i = heldS.length - 1; i >= 0 && readAt(distribution, i) > value; i--) aboveS += heldS[i];
  return aboveS / totalS;
}

/** Whether there are values beyond the outermost bins. */
function isBeyond(least: number, greatest: number, perUnit: number): boolean {
  return least * perUnit < -MAX_BIN || greatest * perUnit > MAX_BIN;
}

function clampedBin(bin: number): number {
  return Math.max(-MAX_BIN, Math.min(MAX_BIN, bin));
}

/** What the values of a bin are read as: its middle, but never beyond the least or the greatest value. */
function readAt(distribution: Distribution, index: number): number {
  const { binWidth, firstBin, least, greatest } = distribution;
  return Math.min(greatest, Math.max(least, (firstBin + index) * binWidth));
}

function makeRoom(distribution: Distribution, lowBin: number, highBin: number): void {
  const { firstBin, heldS } = distribution;
  const none = heldS.length === 0;
  const low = none ? lowBin : Math.min(lowBin, firstBin);
  const high = none ? highBin : Math.max(highBin, firstBin + heldS.length - 1);
  const first = Math.floor(low / BLOCK_BINS) * BLOCK_BINS;
  const length = (Math.floor(high / BLOCK_BINS) + 1) * BLOCK_BINS - first;
  if (!none && first === firstBin && length === heldS.length) return;
  const longer = new Float64Array(length);
  if (!none) longer.set(heldS, firstBin - first);
  distribution.firstBin = first;
  distribution.heldS = longer;
}
