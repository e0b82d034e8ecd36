import type { QualityDay } from "./quality-day";
import type { NumericChannel } from "./series";

/**
 * Part of each day, by date, that each channel has values for: held time with a value over the day's length, 0 to 1.
 * A channel that a day doesn't have is absent there.
 */
export function coverageByDay(
  days: readonly QualityDay[],
): ReadonlyMap<string, Partial<Record<NumericChannel, number>>> {
  return new Map(
    days.map((day) => {
      const lengthS = (day.toMs - day.fromMs) / 1000;
      const shares = Object.entries(day.coveredS).map(([channel, coveredS]) => [
        channel,
        Math.min(1, coveredS / lengthS),
      ]);
      return [day.date, Object.fromEntries(shares)];
    }),
  );
}
