import type { Ratings } from "./ratings";

/**
 * What the limits are multiplied by at a temperature in °C (definitions D3): the ratio of the highest step
 * exceeded; 1 below all of them, or where the temperature is NaN.
 */
export function derateRatio(ratings: Ratings, temperatureC: number): number {
  let ratio = 1;
  let above = Number.NEGATIVE_INFINITY;
  for (const step of ratings.derate) {
    if (temperatureC > step.aboveC && step.aboveC > above) {
      above = step.aboveC;
      ratio = step.ratio;
    }
  }
  return ratio;
}
