import type { LocalClock } from "../analysis/local-time";
import type { Ratings } from "../analysis/ratings";
import { ratingsAt, ratingsPeriods } from "../analysis/ratings-in-force";
import type {
  DayResult,
  Dropout,
  Gap,
  ImbalanceInterval,
  NearLimitInterval,
  Transfer,
} from "../analysis/results";
import type { SourceRun } from "../analysis/source-runs";
import { causeName } from "./cause-words";
import {
  capital,
  formatClock,
  formatCount,
  formatDuration,
  formatEnergy,
  formatLoading,
  formatLocalDate,
  formatLocalTime,
  formatPct,
  formatPower,
  formatShare,
  formatYearDate,
  howOften,
} from "./format";
import { dropoutSentence, transferSentence } from "./transfer-sentence";

/** A value and the first sample that has it. */
type Extreme = { readonly value: number; readonly atMs: number };

/** What was found in one local day. Transfers, dropouts and intervals belong to the day of their beginning. */
export type DaySubject = {
  readonly fromMs: number;
  readonly toMs: number;
  /** Nominal interval of the log, s; null under two samples. */
  readonly nominalS: number | null;
  /** Null where the day has no samples. */
  readonly day: DayResult | null;
  readonly transfers: readonly Transfer[];
  readonly dropouts: readonly Dropout[];
  readonly nearLimit: readonly NearLimitInterval[];
  /** Null where the log doesn't have both legs. */
  readonly imbalance: readonly ImbalanceInterval[] | null;
  /** What carried the loads, stretch after stretch; null where the log can't tell. */
  readonly sources: readonly SourceRun[] | null;
  /** Gaps that touch the day. */
  readonly gaps: readonly Gap[];
  /** Greatest loads in W and the least state of charge in %, each null where the log hasn't it. */
  readonly peaks: {
    readonly l1W: Extreme | null;
    readonly l2W: Extreme | null;
    readonly loadW: Extreme | null;
    readonly socPct: Extreme | null;
    readonly firstSocPct: number | null;
    readonly lastSocPct: number | null;
  };
};

/** One thing that is said of a day; `code` tells it from the others. */
export type DayStatement = { readonly code: string; readonly text: string };

/** A day in words. */
export type DaySummary = {
  /** The answer to "what happened?". */
  readonly headline: string;
  readonly statements: readonly DayStatement[];
};

/** More transfers or dropouts than this are said by their causes; the table has each. */
const MOST_TOLD = 4;

/**
 * What happened on a day, in sentences: how near each leg came to its rating and when, what stood near its limit,
 * transfers and dropouts with cause and length, what carried the loads, energy, battery, and what the log covers. What
 * the log hasn't is said to be not in it.
 *
 * @param ratings of the site; those in force on the day are compared with
 * @example daySummary(subject, ratings, clock).statements[0].text // "L1 came to 4.32 kW at 18:02:33: 1.08 of its 4.00 kW."
 */
export function daySummary(subject: DaySubject, ratings: readonly Ratings[], clock: LocalClock): DaySummary {
  const { day } = subject;
  if (day === null) {
    return {
      headline: `There are no samples of ${formatYearDate(subject.fromMs, clock)}.`,
      statements: [],
    };
  }
  const limits = ratingsAt(ratingsPeriods(ratings, clock), subject.fromMs);
  const statements = [
    ...loads(subject, day, limits, clock),
    ...nearLimit(subject),
    ...transfers(subject, clock),
    ...dropouts(subject, clock),
    carried(day),
    ...imbalance(subject),
    energy(subject, day),
    battery(subject, clock),
    coverage(subject, day, clock),
    ...length(subject),
  ];
  return { headline: headline(subject, day, clock), statements };
}

function headline({ transfers, dropouts, fromMs }: DaySubject, day: DayResult, clock: LocalClock): string {
  const on = `On ${formatLocalDate(fromMs, clock)}`;
  const { inverter, utility, generator, none } = day.onS;
  const knownS = inverter + utility + generator + none;
  if (transfers.length === 0 && dropouts.length === 0) {
    if (knownS === 0) return `Whether the inverter carried the loads can't be told from this log.`;
    if (inverter === knownS)
      return `${on} the inverter carried the loads through all that was logged: no transfer.`;
    if (inverter === 0 && none === 0)
      return `${on} the loads were on the ${generator > utility ? "generator" : "utility"} through all that was logged.`;
    return `${on} no transfer began; the loads were on the inverter for ${formatDuration(inverter)}, ${formatShare(inverter / knownS)} of the time that is known.`;
  }
  const parts: string[] = [];
  if (transfers.length > 0)
    parts.push(`went over to ${destination(transfers)} ${howOften(transfers.length)}`);
  if (dropouts.length > 0) parts.push(`lost supply ${howOften(dropouts.length)}`);
  return `${on} the loads ${parts.join(" and ")}; the inverter carried them for ${formatDuration(inverter)}, ${formatShare(knownS > 0 ? inverter / knownS : null)} of the time that is known.`;
}

function destination(transfers: readonly Transfer[]): string {
  const places = new Set(transfers.map(({ to }) => to));
  return places.size > 1 ? "the utility or the generator" : `the ${[...places][0]}`;
}

function loads(subject: DaySubject, day: DayResult, limits: Ratings, clock: LocalClock): DayStatement[] {
  const { peaks } = subject;
  if (peaks.l1W === null && peaks.l2W === null) {
    if (peaks.loadW === null) return [{ code: "load", text: "Load: not in this log on this day." }];
    return [
      came(subject, "total", peaks.loadW, day.peakLoadingTotal, limits.totalLimitW, clock),
      { code: "legs", text: "What each leg carried: not in this log." },
    ];
  }
  return (["L1", "L2"] as const).map((leg) => {
    const peak = leg === "L1" ? peaks.l1W : peaks.l2W;
    const loading = leg === "L1" ? day.peakLoadingL1 : day.peakLoadingL2;
    return peak === null
      ? { code: leg, text: `What ${leg} carried: not in this log on this day.` }
      : came(subject, leg, peak, loading, limits.legLimitW, clock);
  });
}

/** How near a load came to its limit. Its loading is said apart where it isn't the load over the limit. */
function came(
  { sources, nominalS }: DaySubject,
  quantity: "L1" | "L2" | "total",
  { value, atMs }: Extreme,
  loading: number | null,
  limitW: number,
  clock: LocalClock,
): DayStatement {
  const name = quantity === "total" ? "The total" : quantity;
  const run = sources?.find((one) => one.fromMs <= atMs && atMs < one.toMs)?.source;
  const place = run === "utility" || run === "generator" ? `, while on the ${run}` : "";
  const peak = `${name} came to ${formatPower(value)} at ${clockText(atMs, nominalS, clock)}${place}`;
  const ratio = value / limitW;
  if (loading !== null && Math.abs(loading - ratio) >= 0.005) {
    const why =
      "by its apparent power, a limit lowered by temperature, or the part that the inverter carried";
    return {
      code: quantity,
      text: `${peak}; its rating is ${formatPower(limitW)}, and its greatest loading was ${formatLoading(loading)}, ${why}.`,
    };
  }
  const left = limitW - value;
  const room = left > 0 ? `, with ${formatPower(left)} of headroom` : "";
  return {
    code: quantity,
    text: `${peak}: ${formatLoading(ratio)} of its ${formatPower(limitW)}${room}.`,
  };
}

/** Clock time, to the second where the log has seconds. */
function clockText(atMs: number, nominalS: number | null, clock: LocalClock): string {
  return formatClock(atMs, clock, nominalS !== null && nominalS < 60);
}

function nearLimit({ nearLimit: intervals }: DaySubject): DayStatement[] {
  return (["total", "L1", "L2", "pass-through"] as const).flatMap((quantity) => {
    const own = intervals.filter((one) => one.quantity === quantity);
    if (own.length === 0) return [];
    const durationS = own.reduce((sum, one) => sum + one.durationS, 0);
    const overS = own.reduce((sum, one) => sum + one.overLimitS, 0);
    const name = quantity === "L1" || quantity === "L2" ? quantity : `The ${quantity}`;
    const above = overS > 0 ? `, of it ${formatDuration(overS)} above` : "";
    return [
      {
        code: `near-limit-${quantity}`,
        text: `${name} was near or above its limit for ${formatDuration(durationS)} in ${formatCount(own.length, "stretch", "stretches")}${above}.`,
      },
    ];
  });
}

function transfers({ transfers: found, nominalS }: DaySubject, clock: LocalClock): DayStatement[] {
  if (found.length <= MOST_TOLD) {
    return found.map((transfer) => ({
      code: `transfer-${transfer.atMs}`,
      text: atClock(transferSentence(transfer, clock), transfer.atMs, nominalS, clock),
    }));
  }
  const allS = found.reduce((sum, one) => sum + one.onUtilityS, 0);
  const leastS = found.some(({ lowerBound }) => lowerBound) ? "at least " : "";
  return [
    {
      code: "transfers",
      text: `${formatCount(found.length, "transfer")}, ${leastS}${formatDuration(allS)} off the inverter in all: ${byCause(found)}.`,
    },
  ];
}

function dropouts({ dropouts: found, nominalS }: DaySubject, clock: LocalClock): DayStatement[] {
  if (found.length <= MOST_TOLD) {
    return found.map((dropout) => ({
      code: `dropout-${dropout.atMs}`,
      text: atClock(dropoutSentence(dropout, clock), dropout.atMs, nominalS, clock),
    }));
  }
  const allS = found.reduce((sum, one) => sum + one.deadS, 0);
  return [
    {
      code: "dropouts",
      text: `${formatCount(found.length, "dropout")}: the loads were dead for ${formatDuration(allS)} in all: ${byCause(found)}.`,
    },
  ];
}

/** A sentence that begins with day and time, with the time alone. */
function atClock(sentence: string, atMs: number, nominalS: number | null, clock: LocalClock): string {
  return sentence.replace(formatLocalTime(atMs, clock), clockText(atMs, nominalS, clock));
}

function byCause(found: readonly (Transfer | Dropout)[]): string {
  const counts = new Map<string, number>();
  for (const { cause } of found) counts.set(cause, (counts.get(cause) ?? 0) + 1);
  return [...counts]
    .sort(([, a], [, b]) => b - a)
    .map(([cause, count]) => `${causeName(cause)} ${count}`)
    .join(", ");
}

function carried({ onS }: DayResult): DayStatement {
  const parts = (
    [
      ["on the inverter", onS.inverter],
      ["on the utility", onS.utility],
      ["on the generator", onS.generator],
      ["without supply", onS.none],
    ] as const
  )
    .filter(([, durationS]) => durationS > 0)
    .map(([name, durationS]) => `${formatDuration(durationS)} ${name}`);
  if (parts.length === 0)
    return { code: "carried", text: "What carried the loads: not in this log on this day." };
  if (onS.unknown > 0) parts.push(`${formatDuration(onS.unknown)} not known`);
  return { code: "carried", text: `The loads were ${parts.join(", ")}.` };
}

function imbalance({ imbalance: intervals }: DaySubject): DayStatement[] {
  if (intervals === null || intervals.length === 0) return [];
  const durationS = intervals.reduce((sum, one) => sum + one.durationS, 0);
  const worst = intervals.reduce((most, one) => (one.maxDifferenceW > most.maxDifferenceW ? one : most));
  return [
    {
      code: "imbalance",
      text: `The legs differed far and long in ${formatCount(intervals.length, "stretch", "stretches")}, ${formatDuration(durationS)} in all, by up to ${formatPower(worst.maxDifferenceW)}, ${worst.heavierLeg} the heavier.`,
    },
  ];
}

function energy({ fromMs, toMs }: DaySubject, { shares, sharesHeldS }: DayResult): DayStatement {
  const partly = sharesHeldS < ((toMs - fromMs) / 1000) * 0.99;
  if (sharesHeldS === 0 || shares.loadWh <= 0)
    return { code: "energy", text: "Energy of the loads: not in this log on this day." };
  const took = `The loads took ${formatEnergy(shares.loadWh)}${partly ? ` in the ${formatDuration(sharesHeldS)} that the log tells it of` : ""}`;
  if (shares.unattributedWh > 0.995 * shares.loadWh)
    return { code: "energy", text: `${took}; where it came from is not in this log.` };
  const parts = (
    [
      ["from the sun directly", shares.solarToLoadWh],
      ["from the battery", shares.batteryToLoadWh],
      ["from the grid", shares.gridToLoadWh],
      ["from the generator", shares.generatorToLoadWh],
      ["can't be attributed", shares.unattributedWh],
    ] as const
  )
    .filter(([, energyWh], at) => at < 3 || energyWh / shares.loadWh > 0.005)
    .map(([name, energyWh]) => `${formatShare(energyWh / shares.loadWh)} ${name}`);
  const made = shares.solarWh > 0 ? ` The sun gave ${formatEnergy(shares.solarWh)}.` : "";
  return { code: "energy", text: `${took}: ${parts.join(", ")}.${made}` };
}

function battery({ peaks, nominalS }: DaySubject, clock: LocalClock): DayStatement {
  const { socPct, firstSocPct, lastSocPct } = peaks;
  if (socPct === null) return { code: "battery", text: "State of charge: not in this log on this day." };
  return {
    code: "battery",
    text: `The battery was lowest at ${clockText(socPct.atMs, nominalS, clock)}, at ${formatPct(socPct.value)}; it began the day at ${formatPct(firstSocPct)} and ended it at ${formatPct(lastSocPct)}.`,
  };
}

function coverage(
  { gaps, fromMs, toMs, nominalS }: DaySubject,
  day: DayResult,
  clock: LocalClock,
): DayStatement {
  const interval = nominalS === null ? "" : `, one every ${formatDuration(nominalS)}`;
  const samples = `${formatCount(day.samples, "sample")}${interval}`;
  const ratio = day.heldS / ((toMs - fromMs) / 1000);
  const own = gaps.filter((gap) => gap.fromMs < toMs && gap.toMs > fromMs);
  if (own.length === 0 && ratio > 0.99999)
    return { code: "coverage", text: `The log covers the whole day: ${samples}, no gap.` };
  const told = own.slice(0, MOST_TOLD).map((gap) => {
    const from = gap.fromMs <= fromMs ? "the day's beginning" : formatClock(gap.fromMs, clock);
    const to = gap.toMs >= toMs ? "its end" : formatClock(gap.toMs, clock);
    return `${from} to ${to}`;
  });
  const more = own.length > told.length ? ` and ${own.length - told.length} more` : "";
  const holes =
    own.length === 0 ? "" : ` ${capital(formatCount(own.length, "gap"))}: ${told.join(", ")}${more}.`;
  return {
    code: "coverage",
    text: `The log covers ${formatShare(ratio)} of the day: ${samples}; the rest isn't counted in any figure here.${holes}`,
  };
}

function length({ fromMs, toMs }: DaySubject): DayStatement[] {
  const hours = (toMs - fromMs) / 3_600_000;
  if (hours === 24) return [];
  return [
    {
      code: "length",
      text: `The clock ${hours > 24 ? "went back" : "went forward"} on this day: it has ${hours} hours.`,
    },
  ];
}
