import type { LocalClock } from "./local-time";
import type { Ratings } from "./ratings";

/** Ratings with the instants between which they count. */
export type RatingsPeriod = { readonly fromMs: number; readonly untilMs: number; readonly ratings: Ratings };

/**
 * When each entry of a site's ratings counts: from the first instant of its local day to that of the next
 * entry. The first one also counts before its date (definitions D3; the caller notes it).
 *
 * @throws RangeError where there is no entry.
 */
export function ratingsPeriods(list: readonly Ratings[], clock: LocalClock): RatingsPeriod[] {
  if (list.length === 0) throw new RangeError("ratingsPeriods requires at least one entry, got none");
  const sorted = [...list].sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0));
  return sorted.map((ratings, i) => ({
    fromMs: i === 0 ? Number.NEGATIVE_INFINITY : clock.dateStartMs(ratings.from),
    untilMs: i + 1 < sorted.length ? clock.dateStartMs(sorted[i + 1].from) : Number.POSITIVE_INFINITY,
    ratings,
  }));
}

/** The ratings in force at an instant. */
export function ratingsAt(periods: readonly RatingsPeriod[], atMs: number): Ratings {
  let found = periods[0].ratings;
  for (const period of periods) if (atMs >= period.fromMs) found = period.ratings;
  return found;
}
