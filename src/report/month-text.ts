import type { LocalClock } from "../analysis/local-time";
import type { PeriodSubject } from "../analysis/period-findings";
import type { Ratings } from "../analysis/ratings";
import type { Note } from "../analysis/results";
import { formatMonth } from "./format";
import type { NotedByPerson } from "./person-note-sentence";
import { reportPage } from "./report-page";

/** A month of a site in words, in the order of the Month screen. */
export function monthText(
  results: PeriodSubject & { readonly notes: readonly Note[] },
  before: PeriodSubject | null,
  month: string,
  site: { readonly name: string; readonly timezone: string; readonly ratings: readonly Ratings[] },
  clock: LocalClock,
  byPerson: readonly NotedByPerson[] = [],
): string {
  return reportPage(
    results,
    { title: formatMonth(month), site, month, before, notes: results.notes, byPerson, records: [] },
    clock,
  );
}
