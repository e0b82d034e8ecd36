import { localMonth } from "../../db/queries/local-month";
import { type SiteQuality, siteQuality } from "../../db/queries/site-quality";
import { clockOf } from "../../src/report/format";
import { type QualityFinding, qualityFindings, qualityHeadline } from "../../src/report/quality-findings";
import { logPage } from "./log-page";
import { read } from "./read";
import { type SitePage, sitePage } from "./site-page";

/** The quality of a period's logs with everything that its sheet shows. */
export type QualityPage = SitePage & {
  quality: SiteQuality;
  findings: readonly QualityFinding[];
  headline: string;
  /** Local dates of the period, ascending; of a long log the first ones. */
  dates: readonly string[];
  /** Whether the period goes on after the last of `dates`. */
  goesOn: boolean;
};

/** The quality of a month of a site: the one that is asked for, else the latest; null without any month. */
export async function monthQuality(
  slug: string,
  asked: string | string[] | undefined,
): Promise<{ month: string; page: QualityPage } | { month: null; page: SitePage }> {
  const site = await sitePage(slug);
  const month = site.months.find((one) => one === asked) ?? site.months.at(-1);
  if (month === undefined) return { month: null, page: site };
  const { fromMs, toMs } = localMonth(site.site.timezone, month);
  return { month, page: await qualityPage(site, fromMs, toMs) };
}

/** The quality of the days that one log covers, of its logger alone; null for a log that is not in the fold. */
export async function logQuality(slug: string, id: string) {
  const page = await logPage(slug, id);
  const { log, site } = page;
  if (log.state !== "imported" || log.firstMs === null || log.lastMs === null) return { log, page: null };
  const clock = clockOf(site.timezone);
  const fromMs = clock.startOfDayMs(log.firstMs);
  return { log, page: await qualityPage(page, fromMs, clock.nextDayMs(log.lastMs), log.loggerName) };
}

async function qualityPage(
  page: SitePage,
  fromMs: number,
  toMs: number,
  loggerName?: string,
): Promise<QualityPage> {
  const { site } = page;
  const clock = clockOf(site.timezone);
  const quality = await read((database) => siteQuality(database, site.siteId, fromMs, toMs, loggerName));
  const findings = qualityFindings(quality.loggers, quality.balance, site.site.settings, clock);
  const dates: string[] = [];
  for (let at = fromMs; at < toMs && dates.length < MAX_DATES; at = clock.nextDayMs(at))
    dates.push(clock.date(at));
  return {
    ...page,
    quality,
    findings,
    headline: qualityHeadline(quality.loggers, quality.gaps, findings, (toMs - fromMs) / 1000),
    dates,
    goesOn: dates.length > 0 && clock.dateStartMs(dates[dates.length - 1]) < clock.startOfDayMs(toMs - 1),
  };
}

/** Days that a sheet draws at most: of a longer log the first ones. */
const MAX_DATES = 62;
