import { nominalIntervalMs } from "./nominal-interval";

/** Samples that the nominal interval is taken from (definitions D1). */
const FIRST_SAMPLES = 1000;

/**
 * Nominal interval in ms of the stamps of several logs of one logger, taken together as they were written: what the
 * times of those that stamp the end are moved back by (definitions D1). Null under two stamps.
 *
 * It is taken from the stamps and not from the moved times, since these hang on it. Where all logs stamp the same side
 * that is the nominal interval of the fold, and the order of the logs, or what was in the fold before, plays no part.
 *
 * @param firstStamps per log its first 1,000 instants, ascending
 */
export function foldNominalMs(firstStamps: readonly ArrayLike<number>[]): number | null {
  const distinct = new Set<number>();
  for (const stamps of firstStamps) {
    for (let i = 0; i < Math.min(stamps.length, FIRST_SAMPLES); i++) distinct.add(stamps[i]);
  }
  return nominalIntervalMs(Float64Array.from(distinct).sort());
}
