import { localPeriod, monthPeriod } from "../../db/queries/local-period";
import { type PersonNote, personNotesOf } from "../../db/queries/person-notes-of";
import { type ResultsBetween, resultsBetween } from "../../db/queries/results-between";
import { type ComparedFigure, comparePeriods } from "../../src/report/compare-periods";
import {
  type ComparisonStatement,
  comparisonWords,
  monthNames,
  type PeriodNames,
} from "../../src/report/comparison-words";
import { formatCount, formatMonth } from "../../src/report/format";
import { type CompareQuery, datesAround } from "./compare-query";
import { read } from "./read";
import type { SitePage } from "./site-page";

/** Two periods of a site with everything that stands side by side. */
export type Compared = {
  names: PeriodNames;
  before: ResultsBetween;
  after: ResultsBetween;
  figures: ComparedFigure[];
  words: ComparisonStatement[];
  /** What a person wrote in either of them, or on the day of the change. */
  notes: PersonNote[];
};

/** Reads two periods of a site in one snapshot and holds them against each other. */
export async function comparedPeriods({ site }: SitePage, query: CompareQuery): Promise<Compared> {
  const { siteId, timezone } = site;
  const around = query.kind === "change" ? datesAround(query.change, query.days) : null;
  const periods =
    query.kind === "months"
      ? [monthPeriod(timezone, query.a), monthPeriod(timezone, query.b)]
      : [around!.before, around!.after].map(([from, to]) => localPeriod(timezone, from, to));
  const found = await read((database) => resultsBetween(database, siteId, () => periods));
  if (found === null) throw new Error(`site ${siteId} was removed while its page was read`);
  const [before, after] = found;
  const names = namesOf(query);
  const figures = comparePeriods(before, after);
  const [first, last] = before.fromMs <= after.fromMs ? periods : periods.toReversed();
  const notes = await read((database) =>
    personNotesOf(database, site, {
      fromDate: first.fromDate,
      toDate: last.toDate,
      fromMs: first.fromMs,
      toMs: last.toMs,
    }),
  );
  const within = (note: PersonNote) =>
    query.kind === "change" ||
    periods.some(({ fromDate, toDate }) => note.date >= fromDate && note.date < toDate);
  return {
    names,
    before,
    after,
    figures,
    words: comparisonWords(figures, names),
    notes: notes.filter(within),
  };
}

function namesOf(query: CompareQuery): PeriodNames {
  if (query.kind === "months") return monthNames(formatMonth(query.a), formatMonth(query.b));
  const span = formatCount(query.days, "day");
  return { before: `${span} before`, after: `${span} after`, inBefore: "before", inAfter: "after" };
}
