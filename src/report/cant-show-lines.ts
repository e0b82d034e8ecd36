import type { LocalClock } from "../analysis/local-time";
import type { PeriodSubject } from "../analysis/period-findings";
import type { Gap } from "../analysis/results";
import { evidenceSentence } from "./evidence-sentence";
import { formatDuration, formatLocalTime } from "./format";

/** Gaps that are listed one by one; of more the number is given. */
const GAPS_LISTED = 12;

/** What a period's log can't show, in sentences: what lies between two samples, and its gaps. */
export function cantShowLines(
  { nominalS, gaps }: Pick<PeriodSubject, "nominalS" | "gaps">,
  clock: LocalClock,
): string[] {
  const lines: string[] = [];
  if (nominalS !== null) {
    lines.push(evidenceSentence({ code: "interval-hides", figures: { intervalS: nominalS } }, clock));
  }
  for (const gap of gaps.slice(0, GAPS_LISTED)) lines.push(gapText(gap, clock));
  if (gaps.length > GAPS_LISTED) lines.push(`And ${gaps.length - GAPS_LISTED} gaps more.`);
  return lines;
}

function gapText({ fromMs, toMs }: Gap, clock: LocalClock): string {
  return `Gap: ${formatLocalTime(fromMs, clock)} to ${formatLocalTime(toMs, clock)} (${formatDuration((toMs - fromMs) / 1000)}).`;
}
