import { and, asc, eq, getTableColumns, gte, like, lt } from "drizzle-orm";
import type {
  DayResult,
  Dropout,
  EnergyShares,
  Gap,
  HourResult,
  NearLimitInterval,
  Note,
  Transfer,
} from "../../src/analysis/results";
import type { Database } from "../open-database";
import { dayResult, dropout, gap, hourResult, nearLimit, resultNote, transfer } from "../schema/results";
import { site } from "../schema/site";
import { localMonth } from "./local-month";

/** Everything that the analysis found in one local month of a site, all of one revision. */
export type MonthResults = {
  month: string;
  timezone: string;
  /** First instant of the month, and of the next. */
  fromMs: number;
  toMs: number;
  /** What the results were computed from; null before the first time. */
  revision: number | null;
  samplesRevision: number;
  /** Days with samples, ascending. */
  days: DayResult[];
  hours: HourResult[];
  /** Transfers, dropouts and near-limit intervals belong to the month of their beginning. */
  transfers: Transfer[];
  dropouts: Dropout[];
  nearLimit: NearLimitInterval[];
  /** Gaps that touch the month. */
  gaps: Gap[];
  /** Notes on the whole history. */
  notes: Note[];
  /** Sum over the days, in order; null where there is none. */
  total: EnergyShares | null;
};

/**
 * Results of one month, read in one snapshot so that they are of one revision.
 *
 * @param month yyyy-MM at the site
 * @returns null where there is no such site; empty lists where the month has no samples
 * @throws RangeError where the month doesn't exist
 */
export async function monthResults(
  database: Database,
  siteId: number,
  month: string,
): Promise<MonthResults | null> {
  return database.orm.transaction(
    async (orm) => {
      const [found] = await orm
        .select({
          timezone: site.timezone,
          revision: site.resultsRevision,
          samplesRevision: site.samplesRevision,
        })
        .from(site)
        .where(eq(site.siteId, siteId));
      if (found === undefined) return null;
      const { fromMs, toMs } = localMonth(found.timezone, month);
      const days = await orm
        .select(DAY_COLUMNS)
        .from(dayResult)
        .where(and(eq(dayResult.siteId, siteId), like(dayResult.date, `${month}-%`)))
        .orderBy(asc(dayResult.date));
      const hours = await orm
        .select(HOUR_COLUMNS)
        .from(hourResult)
        .where(
          and(eq(hourResult.siteId, siteId), gte(hourResult.fromMs, fromMs), lt(hourResult.fromMs, toMs)),
        )
        .orderBy(asc(hourResult.fromMs));
      const transfers = await orm
        .select(TRANSFER_COLUMNS)
        .from(transfer)
        .where(and(eq(transfer.siteId, siteId), gte(transfer.atMs, fromMs), lt(transfer.atMs, toMs)))
        .orderBy(asc(transfer.atMs));
      const dropouts = await orm
        .select(DROPOUT_COLUMNS)
        .from(dropout)
        .where(and(eq(dropout.siteId, siteId), gte(dropout.atMs, fromMs), lt(dropout.atMs, toMs)))
        .orderBy(asc(dropout.atMs));
      const intervals = await orm
        .select(NEAR_LIMIT_COLUMNS)
        .from(nearLimit)
        .where(and(eq(nearLimit.siteId, siteId), gte(nearLimit.fromMs, fromMs), lt(nearLimit.fromMs, toMs)))
        .orderBy(asc(nearLimit.fromMs), asc(nearLimit.quantity));
      const gaps = await orm
        .select({ fromMs: gap.fromMs, toMs: gap.toMs })
        .from(gap)
        .where(and(eq(gap.siteId, siteId), lt(gap.fromMs, toMs), gte(gap.toMs, fromMs)))
        .orderBy(asc(gap.fromMs));
      const notes = await orm
        .select({ code: resultNote.code, figures: resultNote.figures })
        .from(resultNote)
        .where(eq(resultNote.siteId, siteId))
        .orderBy(asc(resultNote.ordinal));
      return {
        month,
        timezone: found.timezone,
        fromMs,
        toMs,
        revision: found.revision,
        samplesRevision: found.samplesRevision,
        days,
        hours,
        transfers,
        dropouts,
        nearLimit: intervals,
        gaps,
        notes,
        total: sumShares(days),
      };
    },
    { isolationLevel: "repeatable read", accessMode: "read only" },
  );
}

const {
  siteId: _day,
  date,
  fromMs,
  toMs,
  samples,
  heldS,
  sharesHeldS,
  onS,
  peakLoading,
  peakQuantity,
  peakAtMs,
  peakLoadingL1,
  peakLoadingL2,
  peakLoadingTotal,
  ...shares
} = getTableColumns(dayResult);
const DAY_COLUMNS = {
  date,
  fromMs,
  toMs,
  samples,
  heldS,
  sharesHeldS,
  shares,
  onS,
  peakLoading,
  peakQuantity,
  peakAtMs,
  peakLoadingL1,
  peakLoadingL2,
  peakLoadingTotal,
};
const { siteId: _hour, ...HOUR_COLUMNS } = getTableColumns(hourResult);
const { siteId: _transfer, ...TRANSFER_COLUMNS } = getTableColumns(transfer);
const { siteId: _dropout, ...DROPOUT_COLUMNS } = getTableColumns(dropout);
const { siteId: _nearLimit, ...NEAR_LIMIT_COLUMNS } = getTableColumns(nearLimit);

function sumShares(days: readonly DayResult[]): EnergyShares | null {
  if (days.length === 0) return null;
  const total = { ...days[0].shares };
  for (const day of days.slice(1)) {
    for (const key of Object.keys(total) as (keyof EnergyShares)[]) total[key] += day.shares[key];
  }
  return total;
}
