import { and, asc, eq, gt, gte, inArray, lt } from "drizzle-orm";
import { coverageByDay } from "../../src/analysis/coverage-by-day";
import type { QualityDay } from "../../src/analysis/quality-day";
import { type PeriodQuality, qualityOfPeriod } from "../../src/analysis/quality-of-period";
import type { Gap } from "../../src/analysis/results";
import type { NumericChannel } from "../../src/analysis/series";
import type { Database } from "../open-database";
import { sampledLoggers } from "../samples/sampled-loggers";
import { qualityDay } from "../schema/quality";
import { dayResult, gap } from "../schema/results";
import { site } from "../schema/site";

/** What one logger's days of a period say of the log itself. */
export type LoggerQuality = {
  name: string;
  nominalS: number | null;
  /** Channels that it has, in the order of NUMERIC_CHANNELS. */
  channels: NumericChannel[];
  /** Days with samples, ascending. */
  days: QualityDay[];
  /** Part of each day, by its date, that each channel has values for. */
  coverage: ReturnType<typeof coverageByDay>;
  period: PeriodQuality;
};

/** Sun, battery and grid against load, charging and export of one local day. */
export type BalanceOfDay = {
  /** yyyy-MM-dd at the site. */
  date: string;
  /** What is left of what was supplied; negative where more was used than supplied. Wh. */
  lossesWh: number;
  suppliedWh: number;
  /** Held time that the balance knows, s. */
  heldS: number;
};

/** Whether the figures of a period can be trusted. */
export type SiteQuality = {
  loggers: LoggerQuality[];
  /** Holes of the site's samples in the period, ascending; those that reach into it too. */
  gaps: Gap[];
  /** What the meters disagree by, of each day on which they show any supply. */
  balance: BalanceOfDay[];
  /** True as long as samples have changed since they were last looked through. */
  pending: boolean;
};

/**
 * Quality of a site's logs in `fromMs ≤ day < toMs`, local days.
 *
 * @param loggerName only this one; all where absent
 */
export async function siteQuality(
  database: Database,
  siteId: number,
  fromMs: number,
  toMs: number,
  loggerName?: string,
): Promise<SiteQuality> {
  const { stored } = await sampledLoggers(database.sql, siteId);
  const loggers = stored.filter(({ name }) => loggerName === undefined || name === loggerName);
  const [found] = await database.orm
    .select({ assessFromMs: site.assessFromMs })
    .from(site)
    .where(eq(site.siteId, siteId));
  const rows =
    loggers.length === 0
      ? []
      : await database.orm
          .select({ loggerId: qualityDay.loggerId, found: qualityDay.found })
          .from(qualityDay)
          .where(
            and(
              eq(qualityDay.siteId, siteId),
              inArray(
                qualityDay.loggerId,
                loggers.map(({ loggerId }) => loggerId),
              ),
              gte(qualityDay.fromMs, fromMs),
              lt(qualityDay.fromMs, toMs),
            ),
          )
          .orderBy(asc(qualityDay.fromMs));
  const gaps = await database.orm
    .select({ fromMs: gap.fromMs, toMs: gap.toMs })
    .from(gap)
    .where(and(eq(gap.siteId, siteId), lt(gap.fromMs, toMs), gt(gap.toMs, fromMs)))
    .orderBy(asc(gap.fromMs));
  const balance = await database.orm
    .select({
      date: dayResult.date,
      lossesWh: dayResult.lossesWh,
      suppliedWh: dayResult.suppliedWh,
      heldS: dayResult.sharesHeldS,
    })
    .from(dayResult)
    .where(
      and(
        eq(dayResult.siteId, siteId),
        gte(dayResult.fromMs, fromMs),
        lt(dayResult.fromMs, toMs),
        gt(dayResult.suppliedWh, 0),
      ),
    )
    .orderBy(asc(dayResult.fromMs));
  return {
    loggers: loggers.map(({ loggerId, name, nominalMs, channels }) => {
      const days = rows.filter((row) => row.loggerId === loggerId).map((row) => row.found);
      return {
        name,
        nominalS: nominalMs === null ? null : nominalMs / 1000,
        channels,
        days,
        coverage: coverageByDay(days),
        period: qualityOfPeriod(days),
      };
    }),
    gaps,
    balance,
    pending: found?.assessFromMs != null,
  };
}
