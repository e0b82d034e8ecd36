import type { LocalClock } from "../analysis/local-time";
import type { PeriodSubject } from "../analysis/period-findings";
import type { Ratings } from "../analysis/ratings";
import type { Evidence, Note } from "../analysis/results";
import { cantShowLines } from "./cant-show-lines";
import { equipmentInPeriod } from "./equipment-in-period";
import { evidenceSentence } from "./evidence-sentence";
import { formatLocalTime, formatYearDate } from "./format";
import { monthSummary, SECTION_TITLES, SECTIONS, type Statement, type Summary } from "./month-summary";
import { noteSentence } from "./note-sentence";
import { type NotedByPerson, personNoteSentence } from "./person-note-sentence";
import { dropoutSentence, transferSentence } from "./transfer-sentence";
import { PAGE_COLUMNS, wrapText } from "./wrap-text";

/** Cautions that go with every set of results. */
export const CAUTIONS = [
  "Figures from a log don't replace a protective device's rating and are no code calculation: the local code and the authority that enforces it decide.",
  "Work inside the panel, on the battery or on the service is for licensed people under the local code.",
  "Battery terminals stay live with the disconnect open; their fault current is thousands of amperes, and a DC arc does not go out by itself. The fuse needs the interrupting rating for it.",
] as const;

/** What a page is made from beside the period's results. */
export type PageContext = {
  readonly title: string;
  readonly site: { readonly name: string; readonly timezone: string; readonly ratings: readonly Ratings[] };
  /** yyyy-MM, or null for a whole log. */
  readonly month: string | null;
  readonly before: PeriodSubject | null;
  readonly notes: readonly Note[];
  /** What a person wrote about days and events of the period. */
  readonly byPerson: readonly NotedByPerson[];
  /** What became of each file's records; none for a month. */
  readonly records: readonly string[];
};

/**
 * A period of a site in words: a page of plain text that reads well on a terminal and on paper, in the order of the
 * Month. A warning first, then site and equipment, the answer, the figures with coverage and settings, every transfer
 * and dropout with its evidence, what the log can't show, what to do next, what a person wrote, notes, records and cautions.
 */
export function reportPage(results: PeriodSubject, context: PageContext, clock: LocalClock): string {
  const { site, month, before, notes, byPerson, records } = context;
  const summary = monthSummary(results, month, site.ratings, clock, before);
  const blocks: string[][] = [
    head(results, context, clock),
    ...(summary.warnings.length === 0
      ? []
      : [["BEFORE ANYTHING ELSE", ...summary.warnings.map(({ text }) => wrapText(text, "! ", "! "))]]),
    equipment(results, site.ratings),
    ["THE ANSWER", wrapText(summary.headline)],
    ...figures(summary),
    events("TRANSFERS ONE BY ONE", results.transfers, transferSentence, results.nominalS, clock),
    events("DROPOUTS ONE BY ONE", results.dropouts, dropoutSentence, results.nominalS, clock),
    stretches(results, clock),
    bullets("WHAT THE LOG CAN'T SHOW", cantShowLines(results, clock)),
    numbered(
      "WHAT TO DO NEXT",
      summary.advice.map(({ text }) => text),
    ),
    bullets(
      "WRITTEN BY HAND",
      byPerson.map((note) => personNoteSentence(note, clock)),
    ),
    bullets(
      "NOTES",
      notes.map((note) => noteSentence(note, clock)),
    ),
    // Lines of data, for programs too: not wrapped.
    records.length === 0 ? [] : ["RECORDS", ...records.map((line) => `- ${line}`)],
    bullets("CAUTIONS", CAUTIONS),
    [`Read and found right: ${"_".repeat(30)}  License: ${"_".repeat(14)}  Date: ${"_".repeat(12)}`],
  ];
  return `${blocks
    .filter((block) => block.length > 0)
    .map((block) => block.join("\n"))
    .join("\n\n")}\n`;
}

function head(results: PeriodSubject, { title, site }: PageContext, clock: LocalClock): string[] {
  const line = `${site.name}: ${title}`;
  const rule = "=".repeat(Math.min(PAGE_COLUMNS, line.length));
  if (results.days.length === 0) return [line, rule, `Times: ${site.timezone}`];
  const from = `${formatYearDate(results.fromMs, clock)}, ${clockText(results.fromMs, clock)}`;
  const to = `${formatYearDate(results.toMs, clock)}, ${clockText(results.toMs, clock)}`;
  return [line, rule, wrapText(`From ${from} to ${to}; times are those of ${site.timezone}.`)];
}

function clockText(atMs: number, clock: LocalClock): string {
  return formatLocalTime(atMs, clock).split(", ")[1];
}

/** The ratings that count in the period, each with the day from which it does. */
function equipment(results: PeriodSubject, ratings: readonly Ratings[]): string[] {
  const counting = equipmentInPeriod(results, ratings);
  if (counting.length === 0) return [];
  return [
    "EQUIPMENT AS RATED",
    ...counting.flatMap(({ from, lines }) => [`From ${from}:`, ...lines.map((line) => wrapText(line, "  "))]),
  ];
}

function figures(summary: Summary): string[][] {
  return SECTIONS.flatMap((section) => {
    const statements = summary.statements.filter((one) => one.section === section);
    return statements.length === 0
      ? []
      : [[SECTION_TITLES[section].toUpperCase(), ...statements.map(figure)]];
  });
}

/** A statement, and below it what it stands on: once below statements in a row that stand on the same. */
function figure({ sentence, basis }: Statement, i: number, statements: readonly Statement[]): string {
  const text = wrapText(sentence, "- ");
  if (basis === "" || statements[i + 1]?.basis === basis) return text;
  let alike = 1;
  while (statements[i - alike]?.basis === basis) alike++;
  const which = alike === 1 ? "" : `these ${alike}: `;
  return `${text}\n${wrapText(`[${which}${basis}]`, "  ", "   ")}`;
}

function events<Event extends { readonly evidence: readonly Evidence[] }>(
  title: string,
  list: readonly Event[],
  sentence: (event: Event, clock: LocalClock) => string,
  nominalS: number | null,
  clock: LocalClock,
): string[] {
  if (list.length === 0) return [];
  return [
    title,
    ...list.map((event, i) =>
      [
        wrapText(sentence(event, clock), `${i + 1}. `),
        // What the log's interval hides is said once for all, below.
        ...event.evidence
          .filter((one) => one.code !== "interval-hides" || one.figures.intervalS !== nominalS)
          .map((one) => wrapText(evidenceSentence(one, clock), "   - ")),
      ].join("\n"),
    ),
  ];
}

/** Continuous load and suspicions of an open neutral, each with its evidence. */
function stretches({ continuousLoad, openNeutral }: PeriodSubject, clock: LocalClock): string[] {
  const pieces = [...(openNeutral ?? []), ...continuousLoad].flatMap(({ evidence }) =>
    evidence.filter(({ code }) => code !== "interval-hides"),
  );
  return bullets(
    "STRETCHES TO LOOK AT",
    pieces.map((one) => evidenceSentence(one, clock)),
  );
}

function bullets(title: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : [title, ...lines.map((line) => wrapText(line, "- "))];
}

function numbered(title: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : [title, ...lines.map((line, i) => wrapText(line, `${i + 1}. `))];
}
