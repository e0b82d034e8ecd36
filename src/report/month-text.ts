import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import type { Note } from "../analysis/results";
import { monthSummary, type PeriodResults } from "./month-summary";
import { noteSentence } from "./note-sentence";
import { CAUTION } from "./review-text";
import { transferSentence } from "./transfer-sentence";

/** A month of a site in words, in the order of the Month screen. */
export function monthText(
  results: PeriodResults & { readonly notes: readonly Note[] },
  before: PeriodResults | null,
  month: string,
  site: { readonly name: string; readonly timezone: string; readonly ratings: readonly Ratings[] },
  clock: LocalClock,
): string {
  const ratings = site.ratings[site.ratings.length - 1];
  const summary = monthSummary(results, month, ratings, clock, before);
  const lines = [`${site.name} (${site.timezone})`, "", summary.headline, ""];
  for (const statement of summary.statements) lines.push(statement.text);
  if (results.transfers.length > 0) {
    lines.push("", "Transfers");
    for (const transfer of results.transfers) lines.push(`- ${transferSentence(transfer, ratings, clock)}`);
  }
  if (summary.advice.length > 0) {
    lines.push("", "What to do next");
    for (const advice of summary.advice) lines.push(`- ${advice.text}`);
  }
  if (results.notes.length > 0) {
    lines.push("", "Notes");
    for (const note of results.notes) lines.push(`- ${noteSentence(note, clock)}`);
  }
  lines.push("", CAUTION);
  return `${lines.join("\n")}\n`;
}
