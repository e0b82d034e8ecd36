/** Points that a series may bring to the browser. */
export const MAX_POINTS = 2000;

/**
 * Which of a column's samples a drawing needs, ascending: all of them up to `maxPoints`, else the least and
 * the greatest of each of equally many buckets, the first and the last, so that no peak is lost. NaN never
 * counts as least or greatest; a bucket of nothing else keeps its first sample, so that a hole stays one.
 *
 * @throws RangeError where fewer than 4 points are allowed
 */
export function thinPoints(values: ArrayLike<number>, maxPoints = MAX_POINTS): number[] {
  if (!(maxPoints >= 4))
    throw new RangeError(`thinPoints requires maxPoints of at least 4, got ${maxPoints}`);
  const count = values.length;
  if (count <= maxPoints) return Array.from({ length: count }, (_, at) => at);
  const kept = new Set([0, count - 1]);
  const buckets = Math.floor((maxPoints - 2) / 2);
  for (let bucket = 0; bucket < buckets; bucket += 1) {
    const from = Math.floor((bucket * count) / buckets);
    const to = Math.floor(((bucket + 1) * count) / buckets);
    let least = -1;
    let greatest = -1;
    for (let at = from; at < to; at += 1) {
      if (Number.isNaN(values[at])) continue;
      if (least === -1 || values[at] < values[least]) least = at;
      if (greatest === -1 || values[at] > values[greatest]) greatest = at;
    }
    kept.add(least === -1 ? from : least);
    kept.add(greatest === -1 ? from : greatest);
  }
  return [...kept].sort((a, b) => a - b);
}
