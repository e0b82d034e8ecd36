import type { RatingsPeriod } from "./ratings-in-force";
import type { Settings } from "./settings";

/**
 * How far before a transfer its cause and tags may look, in s (definitions D6, D7): the window, stacked starts, the
 * longest allowance of any ratings, since those in force at a transfer reckon with what lies before them too. Three
 * nominal intervals come to it where they are longer.
 */
export function lookBackS(periods: readonly RatingsPeriod[], settings: Settings): number {
  let longestS = Math.max(settings.transferLookbackS, settings.stackedWithinS);
  for (const { ratings } of periods) {
    for (const step of ratings.overload) longestS = Math.max(longestS, step.forS);
  }
  return longestS;
}
