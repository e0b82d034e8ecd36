import type { Finding } from "../analysis/finding";
import { formatShare } from "./format";

/** Coverages that lie no further apart than this are said once for all. */
const SAME_COVERAGE = 0.0005;

/**
 * What a figure of a period stands on, in a few words: how much of the period is known where that is less than the
 * log covers, and the settings that it depends on by name. Empty where there is neither.
 *
 * @param whole coverage of the period by the log, which is said for all figures together; null where unknown
 * @example "known for 93.8 % of the period; demandCoverage 0.8"
 */
export function findingBasis({ coverage, settings }: Finding, whole: number | null): string {
  const parts: string[] = [];
  if (coverage !== null && (whole === null || coverage < whole - SAME_COVERAGE)) {
    parts.push(`known for ${formatShare(coverage)} of the period`);
  }
  const names = Object.entries(settings).map(([name, value]) => `${name} ${value}`);
  if (names.length > 0) parts.push(names.join(", "));
  return parts.join("; ");
}
