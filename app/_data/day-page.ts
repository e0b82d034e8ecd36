import { notFound } from "next/navigation";
import { type DayResults, dayResults } from "../../db/queries/day-results";
import { peaksOfDay, type StretchPeaks } from "../../db/queries/peaks-of-day";
import { type PersonNote, personNotesOf } from "../../db/queries/person-notes-of";
import { type SiteStretch, stretchOfSite } from "../../db/queries/stretch-of-site";
import type { LocalClock } from "../../src/analysis/local-time";
import type { Ratings } from "../../src/analysis/ratings";
import { ratingsAt, ratingsPeriods } from "../../src/analysis/ratings-in-force";
import { clockOf } from "../../src/report/format";
import { type DayBounds, type DayQuery, parseDayQuery } from "../_format/day-address";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

export type DayPage = SitePage & {
  day: DayBounds;
  clock: LocalClock;
  ratings: Ratings;
  query: DayQuery;
  results: DayResults;
  /** What is shown of the day; null where the site has no samples at all. */
  stretch: SiteStretch | null;
  /** What a person wrote about the day and its events. */
  notes: PersonNote[];
};

type Query = { readonly [key: string]: string | string[] | undefined };

/** A day of a site and the part of it that its address asks for, or the page that says there is none. */
export async function dayPage(slug: string, month: string, dd: string, asked: Query): Promise<DayPage> {
  const date = `${month}-${dd}`;
  if (!isDate(date)) notFound();
  const page = await sitePage(slug);
  const { siteId, site, timezone } = page.site;
  const results = await read((database) => dayResults(database, siteId, date));
  // A zone that went over the date line has dates that no day has.
  const clock = clockOf(timezone);
  if (results === null || clock.date(results.fromMs) !== date) notFound();
  const day = { date, fromMs: results.fromMs, toMs: results.toMs };
  const query = parseDayQuery(asked, day, clock);
  const stretch = await read((database) =>
    stretchOfSite(database, siteId, site, results.settings, query.stretch),
  );
  const ratings = ratingsAt(ratingsPeriods(site.ratings, clock), day.fromMs);
  const next = clock.date(day.toMs);
  const notes = await read((database) =>
    personNotesOf(database, page.site, { ...day, fromDate: date, toDate: next }),
  );
  return { ...page, day, clock, ratings, query, results, stretch, notes };
}

/** How far loads and battery went on the day, and what carried the loads through it: of the whole day, whatever is shown. */
export async function wholeDay({
  site: { siteId, site },
  day,
  query,
  results,
  stretch,
}: DayPage): Promise<{ peaks: StretchPeaks; sources: SiteStretch["sources"] }> {
  return read(async (database) => {
    const whole = query.stretch.zoomed
      ? await stretchOfSite(database, siteId, site, results.settings, day)
      : stretch;
    if (whole === null) return { peaks: NO_PEAKS, sources: null };
    return {
      peaks: await peaksOfDay(database, siteId, site, results.settings, whole),
      sources: whole.sources,
    };
  });
}

const NO_PEAKS: StretchPeaks = {
  l1W: null,
  l2W: null,
  loadW: null,
  socPct: null,
  firstSocPct: null,
  lastSocPct: null,
};

function isDate(date: string): boolean {
  if (!/^(19|20)\d\d-\d\d-\d\d$/.test(date)) return false;
  const at = Date.parse(`${date}T00:00:00Z`);
  return !Number.isNaN(at) && new Date(at).toISOString().slice(0, 10) === date;
}
