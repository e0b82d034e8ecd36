import { and, asc, desc, eq, gte, isNull, lt, or } from "drizzle-orm";
import type { DayRecord } from "../../src/analysis/day-record";
import { type PeriodFigures, periodFigures } from "../../src/analysis/period-figures";
import type { Dropout, EnergyShares, Gap, HourResult, Note, Transfer } from "../../src/analysis/results";
import type { Settings } from "../../src/analysis/settings";
import { type EvidencedStretches, withEvidence } from "../../src/analysis/with-evidence";
import type { Database } from "../open-database";
import {
  continuousLoad,
  dayResult,
  dropout,
  gap,
  hourResult,
  imbalanceInterval,
  nearLimit,
  openNeutral,
  resultNote,
  transfer,
} from "../schema/results";
import { daySumsOf } from "./day-sums-of";
import { RESULT_COLUMNS } from "./result-columns";

/** Local days from `fromDate` up to, but not with, `toDate` (yyyy-MM-dd), and their instants. */
export type LocalPeriod = { fromDate: string; toDate: string; fromMs: number; toMs: number };

/** Everything that the analysis found in a period. */
export type PeriodResults = {
  /** Days with samples, ascending. */
  days: DayRecord[];
  hours: HourResult[];
  /** Transfers, dropouts and intervals belong to the period of their beginning. */
  transfers: Transfer[];
  dropouts: Dropout[];
  nearLimit: EvidencedStretches["nearLimit"];
  continuousLoad: EvidencedStretches["continuousLoad"];
  /** Null where the period hasn't both leg voltages and both leg loads. */
  openNeutral: EvidencedStretches["openNeutral"] | null;
  /** Gaps that touch the period. */
  gaps: Gap[];
  /** Notes on the whole history, and on days of the period. */
  notes: Note[];
  /** Sum over the days, in order; null where there is none. */
  total: EnergyShares | null;
  figures: PeriodFigures;
};

/**
 * Reads the results of a period; the caller's transaction makes them those of one revision.
 *
 * @param settings those that the results were computed with
 * @param nominalS nominal interval of the log; null under two samples
 */
export async function periodResults(
  orm: Pick<Database["orm"], "select">,
  siteId: number,
  { fromDate, toDate, fromMs, toMs }: LocalPeriod,
  settings: Settings,
  nominalS: number | null,
): Promise<PeriodResults> {
  const dayRows = await orm
    .select({ ...RESULT_COLUMNS.day, shares: RESULT_COLUMNS.shares, sums: dayResult.sums })
    .from(dayResult)
    .where(and(eq(dayResult.siteId, siteId), gte(dayResult.date, fromDate), lt(dayResult.date, toDate)))
    .orderBy(asc(dayResult.date));
  const days = dayRows.map((row) => ({ ...row, sums: daySumsOf(row.sums) }));
  const hours = await orm
    .select(RESULT_COLUMNS.hour)
    .from(hourResult)
    .where(and(eq(hourResult.siteId, siteId), gte(hourResult.fromMs, fromMs), lt(hourResult.fromMs, toMs)))
    .orderBy(asc(hourResult.fromMs));
  const transfers = await orm
    .select(RESULT_COLUMNS.transfer)
    .from(transfer)
    .where(and(eq(transfer.siteId, siteId), gte(transfer.atMs, fromMs), lt(transfer.atMs, toMs)))
    .orderBy(asc(transfer.atMs));
  const dropouts = await orm
    .select(RESULT_COLUMNS.dropout)
    .from(dropout)
    .where(and(eq(dropout.siteId, siteId), gte(dropout.atMs, fromMs), lt(dropout.atMs, toMs)))
    .orderBy(asc(dropout.atMs));
  const intervals = await orm
    .select(RESULT_COLUMNS.nearLimit)
    .from(nearLimit)
    .where(and(eq(nearLimit.siteId, siteId), gte(nearLimit.fromMs, fromMs), lt(nearLimit.fromMs, toMs)))
    .orderBy(asc(nearLimit.fromMs), asc(nearLimit.quantity));
  const imbalances = await orm
    .select(RESULT_COLUMNS.imbalance)
    .from(imbalanceInterval)
    .where(
      and(
        eq(imbalanceInterval.siteId, siteId),
        gte(imbalanceInterval.fromMs, fromMs),
        lt(imbalanceInterval.fromMs, toMs),
      ),
    )
    .orderBy(asc(imbalanceInterval.fromMs));
  const continuous = await orm
    .select(RESULT_COLUMNS.continuousLoad)
    .from(continuousLoad)
    .where(
      and(
        eq(continuousLoad.siteId, siteId),
        gte(continuousLoad.fromMs, fromMs),
        lt(continuousLoad.fromMs, toMs),
      ),
    )
    .orderBy(asc(continuousLoad.fromMs), asc(continuousLoad.device));
  const neutral = await orm
    .select(RESULT_COLUMNS.openNeutral)
    .from(openNeutral)
    .where(and(eq(openNeutral.siteId, siteId), gte(openNeutral.fromMs, fromMs), lt(openNeutral.fromMs, toMs)))
    .orderBy(asc(openNeutral.fromMs));
  const gaps = await gapsIn(orm, siteId, fromMs, toMs);
  const notes = await orm
    .select({ code: resultNote.code, figures: resultNote.figures })
    .from(resultNote)
    .where(
      and(
        eq(resultNote.siteId, siteId),
        or(isNull(resultNote.date), and(gte(resultNote.date, fromDate), lt(resultNote.date, toDate))),
      ),
    )
    .orderBy(asc(resultNote.ordinal));
  const stretches = withEvidence(
    { nearLimit: intervals, imbalance: imbalances, continuousLoad: continuous, openNeutral: neutral },
    settings,
    nominalS ?? Number.NaN,
  );
  const figures = periodFigures({ days, ...stretches });
  return {
    days,
    hours,
    transfers,
    dropouts,
    nearLimit: stretches.nearLimit,
    continuousLoad: stretches.continuousLoad,
    openNeutral: figures.voltageByLoad ? stretches.openNeutral : null,
    gaps,
    notes: notes as Note[],
    total: sumShares(days),
    figures,
  };
}

/** Gaps follow one another: of those that begin before the period only the last can reach into it. */
async function gapsIn(
  orm: Pick<Database["orm"], "select">,
  siteId: number,
  fromMs: number,
  toMs: number,
): Promise<Gap[]> {
  const before = await orm
    .select(RESULT_COLUMNS.gap)
    .from(gap)
    .where(and(eq(gap.siteId, siteId), lt(gap.fromMs, fromMs)))
    .orderBy(desc(gap.fromMs))
    .limit(1);
  const inside = await orm
    .select(RESULT_COLUMNS.gap)
    .from(gap)
    .where(and(eq(gap.siteId, siteId), gte(gap.fromMs, fromMs), lt(gap.fromMs, toMs)))
    .orderBy(asc(gap.fromMs));
  return [...before.filter((one) => one.toMs >= fromMs), ...inside];
}

function sumShares(days: readonly DayRecord[]): EnergyShares | null {
  if (days.length === 0) return null;
  const total = { ...days[0].shares };
  for (const day of days.slice(1)) {
    for (const key of Object.keys(total) as (keyof EnergyShares)[]) total[key] += day.shares[key];
  }
  return total;
}
