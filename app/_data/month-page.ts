import { notFound } from "next/navigation";
import { neighbourMonth } from "../../db/queries/local-month";
import { monthPeriod } from "../../db/queries/local-period";
import { type MonthResults, monthResults } from "../../db/queries/month-results";
import { type PersonNote, personNotesOf } from "../../db/queries/person-notes-of";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

export type MonthPage = SitePage & {
  results: MonthResults;
  before: MonthResults | null;
  /** What a person wrote about its days and events. */
  byPerson: PersonNote[];
};

/** A month of a site, or the page that says there is none. */
export async function monthPage(slug: string, month: string): Promise<MonthPage> {
  if (!/^(19|20)\d\d-(0[1-9]|1[0-2])$/.test(month)) notFound();
  const page = await sitePage(slug);
  const { siteId } = page.site;
  const results = await read((database) => monthResults(database, siteId, month));
  if (results === null) notFound();
  const monthBefore = neighbourMonth(month, -1);
  const before = page.months.includes(monthBefore)
    ? await read((database) => monthResults(database, siteId, monthBefore))
    : null;
  const byPerson = await read((database) =>
    personNotesOf(database, page.site, monthPeriod(page.site.timezone, month)),
  );
  return { ...page, results: { ...results, notes: notesOfMonth(results) }, before, byPerson };
}

/** Without what began in another month: of a change of the interval only those of this one are told. */
function notesOfMonth({ notes, fromMs, toMs }: MonthResults): MonthResults["notes"] {
  return notes.filter(
    ({ code, figures }) => code !== "interval-changed" || (figures.fromMs >= fromMs && figures.fromMs < toMs),
  );
}

/** Every day of a month, yyyy-MM-dd. */
export function datesOf(month: string): string[] {
  const days = new Date(Date.UTC(Number(month.slice(0, 4)), Number(month.slice(5, 7)), 0)).getUTCDate();
  return Array.from({ length: days }, (_, day) => `${month}-${String(day + 1).padStart(2, "0")}`);
}
