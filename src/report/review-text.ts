import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import type { Note, ReviewResult } from "../analysis/results";
import type { Settings } from "../analysis/settings";
import { reportPage } from "./report-page";
import type { FileCounts } from "./review-json";
import { reviewSubject } from "./review-subject";

/** The review in words, in the order of the Month: a page for a terminal or for paper. */
export function reviewText(
  result: ReviewResult,
  site: {
    readonly name: string;
    readonly timezone: string;
    readonly ratings: readonly Ratings[];
    readonly settings: Settings;
  },
  files: readonly FileCounts[],
  clock: LocalClock,
  moreNotes: readonly Note[] = [],
): string {
  return reportPage(
    reviewSubject(result, site.settings),
    {
      title: files.length === 1 ? "review of a log" : `review of ${files.length} logs`,
      site,
      month: null,
      before: null,
      notes: [...moreNotes, ...result.notes],
      byPerson: [],
      records: files.map(recordsText),
    },
    clock,
  );
}

/** What became of a file's records, in a line. */
export function recordsText(file: FileCounts): string {
  const codes = Object.entries(file.codes)
    .map(([code, count]) => `${code} ${count}`)
    .join(", ");
  return `${file.name}: ${file.records} records: ${file.taken} taken, ${file.duplicates} duplicates, ${file.conflicts} conflicts, ${file.rejected} rejected, ${file.skipped} skipped${codes === "" ? "" : ` (${codes})`}.`;
}
