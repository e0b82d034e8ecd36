import type { Finding } from "../analysis/finding";
import { formatShare } from "./format";

/**
 * What a figure of a period stands on, in a few words: how much of the period is known where that is less than the
 * log covers, and the settings that it depends on by name. Empty where there is neither.
 *
 * @param whole coverage of the period by the log, which is said for all figures together; null where unknown
 * @example "known for 93.8 % of the period; demandCoverage 0.8"
 */
export function findingBasis({ coverage, settings }: Finding, whole: number | null): string {
  const parts: string[] = [];
  // Coverages that read alike are said once for all.
  const known = formatShare(coverage);
  if (coverage !== null && (whole === null || (coverage < whole && known !== formatShare(whole)))) {
    parts.push(`known for ${known} of the period`);
  }
  const names = Object.entries(settings).map(([name, value]) => `${name} ${value}`);
  if (names.length > 0) parts.push(names.join(", "));
  return parts.join("; ");
}
