import type { Finding } from "../analysis/finding";
import { formatShare } from "./format";

/**
 * What a figure of a period stands on, in a few words: how much of the period is known, and the settings that it
 * depends on by name.
 *
 * @example "97.1 % of the period known; demandCoverage 0.8"
 */
export function findingBasis({ coverage, settings }: Finding): string {
  const parts: string[] = [];
  if (coverage !== null) parts.push(`${formatShare(coverage)} of the period known`);
  const names = Object.entries(settings).map(([name, value]) => `${name} ${value}`);
  if (names.length > 0) parts.push(names.join(", "));
  return parts.join("; ");
}
