import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import type { Note, ReviewResult } from "../analysis/results";
import { formatCount, formatDuration, formatLocalTime, formatShare } from "./format";
import { monthSummary } from "./month-summary";
import { noteSentence } from "./note-sentence";
import type { FileCounts } from "./review-json";
import { transferSentence } from "./transfer-sentence";

/** Caution that goes with every set of results. */
export const CAUTION =
  "Figures from a log don't replace a protective device's rating and are no code calculation. Work in the panel, on the battery or on the service is for licensed people under the local code.";

/** The review in words, in the order of the Month screen: a page for a terminal or for paper. */
export function reviewText(
  result: ReviewResult,
  site: { readonly name: string; readonly timezone: string; readonly ratings: readonly Ratings[] },
  files: readonly FileCounts[],
  clock: LocalClock,
  moreNotes: readonly Note[] = [],
): string {
  const { coverage } = result;
  const lines: string[] = [];
  lines.push(site.name, "");
  if (coverage.fromMs === null || coverage.toMs === null) lines.push("The log holds no samples.");
  else {
    const ratings = site.ratings[site.ratings.length - 1];
    const summary = monthSummary(
      { ...result, fromMs: coverage.fromMs, toMs: coverage.toMs },
      null,
      ratings,
      clock,
    );
    lines.push(summary.headline, "");
    lines.push(
      `${formatLocalTime(coverage.fromMs, clock)} to ${formatLocalTime(coverage.toMs, clock)} (${site.timezone}), ${formatCount(coverage.samples, "sample")}${coverage.nominalS === null ? "" : `, one every ${formatDuration(coverage.nominalS)}`}, coverage ${formatShare(coverage.ratio)}, ${formatCount(coverage.gaps.length, "gap")}.`,
      "",
    );
    for (const statement of summary.statements) {
      if (statement.code !== "coverage") lines.push(statement.text);
    }
    if (result.longestRunHeldS !== null) {
      lines.push(
        `Longest run held near or above a limit on inverter: ${formatDuration(result.longestRunHeldS)}.`,
      );
    }
    if (result.transfers.length > 0) {
      lines.push("", "Transfers");
      for (const transfer of result.transfers) lines.push(`- ${transferSentence(transfer, ratings, clock)}`);
    }
    if (result.dropouts.length > 0) {
      lines.push("", "Dropouts");
      for (const dropout of result.dropouts) {
        lines.push(
          `- ${formatLocalTime(dropout.atMs, clock)}: the loads were dead for ${formatDuration(dropout.deadS)}${dropout.lowerBound ? " at least" : ""}.`,
        );
      }
    }
    if (summary.advice.length > 0) {
      lines.push("", "What to do next");
      for (const advice of summary.advice) lines.push(`- ${advice.text}`);
    }
  }
  const notes = [...moreNotes, ...result.notes];
  if (notes.length > 0) {
    lines.push("", "Notes");
    for (const note of notes) lines.push(`- ${noteSentence(note, clock)}`);
  }
  lines.push("", "Records");
  for (const file of files) lines.push(`- ${recordsText(file)}`);
  lines.push("", CAUTION);
  return `${lines.join("\n")}\n`;
}

/** What became of a file's records, in a line. */
export function recordsText(file: FileCounts): string {
  const codes = Object.entries(file.codes)
    .map(([code, count]) => `${code} ${count}`)
    .join(", ");
  return `${file.name}: ${file.records} records: ${file.taken} taken, ${file.duplicates} duplicates, ${file.conflicts} conflicts, ${file.rejected} rejected, ${file.skipped} skipped${codes === "" ? "" : ` (${codes})`}.`;
}
