import type { DayEvent } from "../_charts/day-picture";

/** Events that share a mark, with the part of the time axis at which it stands and the stretch that shows them. */
export type EventCluster = { events: DayEvent[]; share: number; fromMs: number; toMs: number };

/**
 * The events that begin in a stretch, put together where there isn't room for a mark each. A mark stands in the middle
 * of its place, one of `places` side by side.
 */
export function eventClusters(
  events: readonly DayEvent[],
  stretch: { fromMs: number; toMs: number },
  places: number,
): EventCluster[] {
  const lengthMs = stretch.toMs - stretch.fromMs;
  const byPlace = new Map<number, DayEvent[]>();
  for (const event of events) {
    if (event.fromMs < stretch.fromMs || event.fromMs >= stretch.toMs) continue;
    const place = Math.floor(((event.fromMs - stretch.fromMs) / lengthMs) * places);
    byPlace.set(place, [...(byPlace.get(place) ?? []), event]);
  }
  return [...byPlace]
    .sort(([a], [b]) => a - b)
    .map(([place, some]) => ({
      events: some,
      share: Math.round(((place + 0.5) / places) * 10_000) / 10_000,
      // A second more at least, so that a stretch is one.
      fromMs: stretch.fromMs + Math.floor(((place / places) * lengthMs) / 1000) * 1000,
      toMs: Math.min(
        stretch.toMs,
        stretch.fromMs + Math.max(1, Math.ceil((((place + 1) / places) * lengthMs) / 1000)) * 1000,
      ),
    }));
}
