import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import type {
  DayResult,
  Dropout,
  EnergyShares,
  NearLimitInterval,
  Quantity,
  Transfer,
} from "../analysis/results";
import type { TransferCause } from "../analysis/series";
import { causeName } from "./cause-words";
import {
  formatCount,
  formatDuration,
  formatEnergy,
  formatLoading,
  formatLocalTime,
  formatMonth,
  formatPower,
  formatShare,
} from "./format";
import { monthAdvice } from "./month-advice";

/** The results of one period that the sentences are made from. */
export type PeriodResults = {
  readonly fromMs: number;
  readonly toMs: number;
  readonly days: readonly DayResult[];
  readonly transfers: readonly Transfer[];
  readonly dropouts: readonly Dropout[];
  readonly nearLimit: readonly NearLimitInterval[];
  /** Sum over the days; null where there is none. */
  readonly total: EnergyShares | null;
};

/** A statement with the figure it stands on already in it; `code` says which for links and tests. */
export type Statement = { readonly code: string; readonly text: string };

/** A period in words. */
export type Summary = {
  /** The answer to "did it carry the house?". */
  readonly headline: string;
  readonly statements: readonly Statement[];
  /** What to do next, most useful first; each with the figure that supports it. */
  readonly advice: readonly Statement[];
};

/** Time by source and coverage of a period, in seconds and as ratios. */
export type PeriodTimes = {
  readonly lengthS: number;
  readonly heldS: number;
  readonly coverage: number;
  readonly onInverterS: number;
  readonly onUtilityS: number;
  readonly deadS: number;
  readonly unknownS: number;
};

/**
 * The summary of a month (or of a whole log, without `month`), from its results alone: no figure without
 * its unit and coverage.
 *
 * @param month yyyy-MM, or null for "the log"
 * @param before results of the month before, where there are any
 */
export function monthSummary(
  results: PeriodResults,
  month: string | null,
  ratings: Ratings,
  clock: LocalClock,
  before: PeriodResults | null = null,
): Summary {
  const period = month === null ? "the log" : formatMonth(month);
  if (results.days.length === 0) {
    return { headline: `There are no samples for ${period}.`, statements: [], advice: [] };
  }
  const times = periodTimes(results);
  return {
    headline: headline(results, times, period),
    statements: [
      coverageStatement(times, month),
      ...transferStatements(results, times),
      ...loadingStatements(results, ratings, clock),
      ...energyStatements(results),
      ...comparison(results, before),
    ],
    advice: monthAdvice(results, ratings),
  };
}

/** Sums the days' times. The length is that of the period, not of its days with samples. */
export function periodTimes(results: PeriodResults): PeriodTimes {
  const sum = { heldS: 0, onInverterS: 0, onUtilityS: 0, deadS: 0, unknownS: 0 };
  for (const day of results.days) {
    sum.heldS += day.heldS;
    sum.onInverterS += day.onS.inverter;
    sum.onUtilityS += day.onS.utility + day.onS.generator;
    sum.deadS += day.onS.none;
    sum.unknownS += day.onS.unknown;
  }
  const lengthS = (results.toMs - results.fromMs) / 1000;
  return { ...sum, lengthS, coverage: lengthS > 0 ? sum.heldS / lengthS : 0 };
}

/** How many transfers each cause has, most frequent first. */
export function transfersByCause(transfers: readonly Transfer[]): { cause: TransferCause; count: number }[] {
  const counts = new Map<TransferCause, number>();
  for (const transfer of transfers) counts.set(transfer.cause, (counts.get(transfer.cause) ?? 0) + 1);
  return [...counts].map(([cause, count]) => ({ cause, count })).sort((a, b) => b.count - a.count);
}

function headline(results: PeriodResults, times: PeriodTimes, period: string): string {
  const transfers = results.transfers.length;
  const dropouts = results.dropouts.length;
  const known = times.onInverterS + times.onUtilityS + times.deadS;
  if (known === 0) return `Whether the inverter carried the loads in ${period} can't be told from this log.`;
  const share = formatShare(times.onInverterS / known);
  if (transfers === 0 && dropouts === 0) {
    return times.onUtilityS === 0
      ? `The inverter carried the loads through ${period}: no transfer to the utility in what was logged.`
      : `No transfer to the utility begins in ${period}; the loads were on the inverter ${share} of the time logged.`;
  }
  const parts = [];
  if (transfers > 0) parts.push(`went over to the utility ${howOften(transfers)}`);
  if (dropouts > 0) parts.push(`lost supply ${howOften(dropouts)}`);
  return `In ${period} the loads ${parts.join(" and ")}; the inverter carried them ${share} of the time logged.`;
}

function howOften(count: number): string {
  return count === 1 ? "once" : count === 2 ? "twice" : `${count} times`;
}

function coverageStatement(times: PeriodTimes, month: string | null): Statement {
  const of = month === null ? "of its time" : "of the month";
  return {
    code: "coverage",
    text:
      times.coverage > 0.99999
        ? `The log covers 100 % ${of}.`
        : `The log covers ${formatShare(times.coverage)} ${of}; the rest isn't counted in any figure here.`,
  };
}

function transferStatements(results: PeriodResults, times: PeriodTimes): Statement[] {
  const statements: Statement[] = [];
  const { transfers } = results;
  if (transfers.length > 0) {
    const causes = transfersByCause(transfers)
      .map(({ cause, count }) => `${count} ${causeName(cause)}`)
      .join(", ");
    statements.push({
      code: "causes",
      text: `${formatCount(transfers.length, "transfer")}: ${causes}. Time on the utility: ${formatDuration(times.onUtilityS)}.`,
    });
    const nuisance = transfers.filter((transfer) => transfer.nuisance === true).length;
    const avoidable = transfers.filter((transfer) => transfer.avoidable === true).length;
    if (avoidable > 0) {
      statements.push({
        code: "avoidable",
        text: `${avoidable} of ${formatCount(transfers.length, "transfer")} ${avoidable === 1 ? "was" : "were"} avoidable: balanced legs or staggered starts would have spared ${avoidable === 1 ? "it" : "them"}.`,
      });
    }
    if (nuisance > 0) {
      statements.push({
        code: "nuisance",
        text: `${nuisance} of ${formatCount(transfers.length, "transfer")} ${nuisance === 1 ? "was a nuisance transfer" : "were nuisance transfers"}: by its nameplate's overload allowance the inverter should have ridden through.`,
      });
    }
  }
  const { dropouts } = results;
  if (dropouts.length > 0) {
    let deadS = 0;
    for (const dropout of dropouts) deadS += dropout.deadS;
    statements.push({
      code: "dropouts",
      text: `${formatCount(dropouts.length, "dropout")}: the loads were dead for ${formatDuration(deadS)} in all.`,
    });
  }
  return statements;
}

function loadingStatements(results: PeriodResults, ratings: Ratings, clock: LocalClock): Statement[] {
  let peak: DayResult | null = null;
  for (const day of results.days) {
    if (day.peakLoading !== null && day.peakLoading > (peak?.peakLoading ?? 0)) peak = day;
  }
  if (peak === null || peak.peakLoading === null || peak.peakAtMs === null) {
    return [{ code: "loading", text: "Loading per leg: not in this log." }];
  }
  const statements: Statement[] = [];
  const legs = limitingLeg(results);
  const limitW = peak.peakQuantity === "total" ? ratings.totalLimitW : ratings.legLimitW;
  const name = peak.peakQuantity === "total" ? "the total" : (peak.peakQuantity ?? "");
  statements.push({
    code: "loading",
    text: `The greatest loading was ${formatLoading(peak.peakLoading)}: ${name} asked for ${formatPower(peak.peakLoading * limitW)} of ${formatPower(limitW)} on ${formatLocalTime(peak.peakAtMs, clock)}.`,
  });
  const held = (quantity: Quantity) => {
    let durationS = 0;
    let overS = 0;
    for (const interval of results.nearLimit) {
      if (interval.quantity !== quantity) continue;
      durationS += interval.durationS;
      overS += interval.overLimitS;
    }
    return { durationS, overS };
  };
  const l1 = held("L1");
  const l2 = held("L2");
  if (l1.durationS + l2.durationS > 0) {
    const first = legs ?? "L1";
    const [more, less] = first === "L1" ? [l1, l2] : [l2, l1];
    const other = first === "L1" ? "L2" : "L1";
    statements.push({
      code: "near-limit",
      text: `${first} fills first: near or above its limit for ${formatDuration(more.durationS)}, above it for ${formatDuration(more.overS)}; ${other} for ${formatDuration(less.durationS)} and ${formatDuration(less.overS)}.`,
    });
  } else {
    statements.push({ code: "near-limit", text: "Neither leg came near its limit for as long as a minute." });
  }
  return statements;
}

/** The leg with more time near its limit; null where neither has any. */
export function limitingLeg(results: Pick<PeriodResults, "nearLimit">): "L1" | "L2" | null {
  let difference = 0;
  let any = false;
  for (const interval of results.nearLimit) {
    if (interval.quantity === "L1") difference += interval.durationS;
    else if (interval.quantity === "L2") difference -= interval.durationS;
    else continue;
    any = true;
  }
  if (!any) return null;
  return difference >= 0 ? "L1" : "L2";
}

function energyStatements(results: PeriodResults): Statement[] {
  const { total } = results;
  if (total === null || !(total.loadWh > 0)) return [];
  let sharesHeldS = 0;
  for (const day of results.days) sharesHeldS += day.sharesHeldS;
  const coverage = sharesHeldS / ((results.toMs - results.fromMs) / 1000);
  const share = (wattHours: number) => formatShare(wattHours / total.loadWh);
  const parts = [
    `the sun carried ${share(total.solarToLoadWh)} directly`,
    `the battery ${share(total.batteryToLoadWh)}`,
    `the grid ${share(total.gridToLoadWh)}`,
  ];
  if (total.generatorToLoadWh > 0) parts.push(`a generator ${share(total.generatorToLoadWh)}`);
  if (total.unattributedWh / total.loadWh > 0.005)
    parts.push(`${share(total.unattributedWh)} can't be attributed`);
  const fraction = (total.solarToLoadWh + total.batteryToLoadOfSolarWh) / total.loadWh;
  return [
    {
      code: "energy",
      text: `Of ${formatEnergy(total.loadWh)} of load ${parts.join(", ")} (energy coverage ${formatShare(coverage)}).`,
    },
    {
      code: "solar-fraction",
      text: `Counting what the battery had from the sun, ${formatShare(fraction)} of the load's energy was solar.`,
    },
  ];
}

function comparison(results: PeriodResults, before: PeriodResults | null): Statement[] {
  if (before === null || before.days.length === 0) return [];
  const was = before.transfers.length;
  const is = results.transfers.length;
  const coverage = formatShare(periodTimes(before).coverage);
  return [
    {
      code: "month-before",
      text: `The month before (${coverage} covered) it had ${formatCount(was, "transfer")}${was === is ? ", as many as now" : was > is ? `, ${was - is} more` : `, ${is - was} fewer`}.`,
    },
  ];
}
