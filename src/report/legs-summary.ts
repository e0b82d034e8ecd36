import type { Finding, FindingCode } from "../analysis/finding";
import type { FullLeg, LegDensity, LegPeak } from "../analysis/leg-density";
import type { LegFigures } from "../analysis/leg-figures";
import type { LocalClock } from "../analysis/local-time";
import { type PeriodSubject, periodFindings } from "../analysis/period-findings";
import type { Ratings } from "../analysis/ratings";
import { ratingsAt, ratingsPeriods } from "../analysis/ratings-in-force";
import type { Settings } from "../analysis/settings";
import { findingSentence } from "./finding-sentence";
import { formatAmps, formatDuration, formatLocalTime, formatPower, formatShare } from "./format";

/** The period's results with the figures of its two legs. */
export type LegsSubject = PeriodSubject & { readonly legs: LegFigures };

/** A statement about the legs, with its figures in it. */
export type LegsStatement = {
  /** Tells it from the others. */
  readonly code: string;
  readonly text: string;
  /** Held time in which what it needs is known, over the period; null where that makes no sense. */
  readonly coverage: number | null;
  /** The instants that its figures stand for, epoch ms, in the order in which it names them. */
  readonly timesMs: readonly number[];
  readonly settings: Partial<Settings>;
};

/** The legs of a period in words. */
export type LegsSummary = {
  /** The answer to "which leg is full?". */
  readonly headline: string;
  /** Held time with both legs known over the period; null without samples. */
  readonly coverage: number | null;
  readonly statements: readonly LegsStatement[];
};

/** Legs whose means differ by less than this share of their sum carry nearly the same. */
const NEARLY_SAME = 0.02;

/** Figures of the period that speak of the legs: they are said here as on the month's sheet. */
const OF_LEGS: readonly FindingCode[] = ["imbalance", "stranded-capacity", "neutral-current", "leg-voltage"];

/**
 * Which leg is full and how the load lies on the two, in sentences made of figures alone, each with its coverage and
 * the instants it stands for. What the log can't tell is said as such.
 *
 * @param when the period with its preposition: "In May 2026", "From 4 May to 11 May 2026", "In the whole log"
 * @param ratings of the site; at least one
 */
export function legsSummary(
  subject: LegsSubject,
  when: string,
  ratings: readonly Ratings[],
  clock: LocalClock,
): LegsSummary {
  const findings = periodFindings(subject, ratings, clock);
  if (findings.length === 0)
    return { headline: `${when} there are no samples.`, coverage: null, statements: [] };
  const { density } = subject.legs;
  const told = findings.filter(isOfLegs).map((finding) => statementOf(finding, subject.legs, clock));
  if (density === null) {
    return {
      headline:
        "What each leg carries is not in this log: it takes the load of L1 and L2 apart, in W or in A. With the total alone nobody can say which leg is full.",
      coverage: null,
      statements: told,
    };
  }
  const lengthS = (subject.toMs - subject.fromMs) / 1000;
  const coverage = lengthS > 0 ? density.heldS / lengthS : null;
  const periods = ratingsPeriods(ratings, clock);
  const limitW = (atMs: number) => ratingsAt(periods, atMs).legLimitW;
  return {
    headline: headline(density, subject.days, when),
    coverage,
    statements: [
      ...heavierLeg(subject.legs, coverage),
      legStatement("L1", density.full.l1, density.peaks.l1, limitW, coverage, clock),
      legStatement("L2", density.full.l2, density.peaks.l2, limitW, coverage, clock),
      ...told.filter(({ code }) => !isOfVoltage(code)),
      ...neutralByTime(subject.legs, lengthS),
      ...told.filter(({ code }) => isOfVoltage(code)),
    ],
  };
}

function headline(density: LegDensity, days: LegsSubject["days"], when: string): string {
  const { l1, l2 } = density.full;
  if (l1.heldS > 0 && l2.heldS > 0) {
    const longer = l1.heldS >= l2.heldS ? "L1" : "L2";
    const even = l1.heldS === l2.heldS ? "one as long as the other" : `${longer} the longer`;
    return `${when} both legs were full, ${even}: L1 for ${formatDuration(l1.heldS)} with ${formatPower(l1.otherHeadroomW)} of headroom on L2 in the mean, L2 for ${formatDuration(l2.heldS)} with ${formatPower(l2.otherHeadroomW)} on L1.`;
  }
  if (l1.heldS > 0) return oneFull("L1", "L2", l1, when);
  if (l2.heldS > 0) return oneFull("L2", "L1", l2, when);
  // By the loading and not by W over the rating: VA or a hot inverter's lower limit can be what comes first.
  const greatest = (leg: "peakLoadingL1" | "peakLoadingL2") =>
    formatShare(days.reduce((most, day) => Math.max(most, day[leg] ?? 0), 0));
  return `${when} neither leg was full: L1 came to ${greatest("peakLoadingL1")} of its limit at most, L2 to ${greatest("peakLoadingL2")}.`;
}

function oneFull(leg: string, other: string, full: FullLeg, when: string): string {
  const room = full.otherHeadroomW ?? 0;
  const said = `${when} ${leg} was full for ${formatDuration(full.heldS)}`;
  return room > 0
    ? `${said} while ${other} had ${formatPower(room)} of headroom in the mean: what runs at those times belongs on ${other}.`
    : `${said}, and ${other} had no headroom meanwhile: moving load wouldn't help.`;
}

function heavierLeg({ meanL1W, meanL2W }: LegFigures, coverage: number | null): LegsStatement[] {
  if (meanL1W === null || meanL2W === null) return [];
  const sumW = meanL1W + meanL2W;
  const each = `L1 carried ${formatPower(meanL1W)} in the mean, L2 ${formatPower(meanL2W)}`;
  const [heavier, meanW] = meanL1W >= meanL2W ? ["L1", meanL1W] : ["L2", meanL2W];
  const text =
    !(sumW > 0) || Math.abs(meanL1W - meanL2W) < NEARLY_SAME * sumW
      ? `The legs carried nearly the same: ${each}.`
      : `${heavier} is the heavier leg: ${each}; ${formatShare(meanW / sumW)} of the load was on ${heavier}.`;
  return [{ code: "heavier-leg", text, coverage, timesMs: [], settings: {} }];
}

function legStatement(
  leg: "L1" | "L2",
  full: FullLeg,
  peak: LegPeak,
  limitW: (atMs: number) => number,
  coverage: number | null,
  clock: LocalClock,
): LegsStatement {
  const other = leg === "L1" ? "L2" : "L1";
  const peakW = leg === "L1" ? peak.l1W : peak.l2W;
  const ratingW = limitW(peak.atMs);
  const greatest = `${formatPower(peakW)} on ${formatLocalTime(peak.atMs, clock)}`;
  const elsewhere = peak.source === "inverter" ? "" : ", which the inverter didn't carry then";
  const text =
    full.heldS > 0
      ? `${leg} was at its limit or above it for ${formatDuration(full.heldS)}, ${onInverter(full)}; ${other} had ${formatPower(full.otherHeadroomW)} of headroom meanwhile, in the mean. The most that ${leg} was asked for was ${greatest}${elsewhere}; its rating is ${formatPower(ratingW)}.`
      : `${leg} never reached its limit: it was asked for ${greatest} at most, ${formatShare(peakW / ratingW)} of its ${formatPower(ratingW)}${elsewhere}.`;
  return { code: `full-${leg}`, text, coverage, timesMs: [peak.atMs], settings: {} };
}

function onInverter({ heldS, onInverterS }: FullLeg): string {
  if (onInverterS === 0) return "none of it on the inverter";
  return onInverterS >= heldS
    ? "all of it on the inverter"
    : `${formatDuration(onInverterS)} of it on the inverter`;
}

function neutralByTime({ neutral }: LegFigures, lengthS: number): LegsStatement[] {
  if (neutral === null) return [];
  const at = (share: number) => formatAmps(neutral.exceededA[neutral.shares.indexOf(share)]);
  return [
    {
      code: "neutral-by-time",
      text: `The neutral carried ${at(0.01)} or more for 1 % of the time, ${at(0.1)} or more for a tenth of it, ${at(0.5)} or more for half of it, for loads in phase.`,
      coverage: lengthS > 0 ? neutral.heldS / lengthS : null,
      timesMs: [],
      settings: {},
    },
  ];
}

function isOfVoltage(code: string): boolean {
  return code.includes("leg-voltage");
}

function isOfLegs(finding: Finding): boolean {
  const code = finding.code === "not-in-log" ? finding.figures.what : finding.code;
  return (OF_LEGS as readonly string[]).includes(code);
}

function statementOf(finding: Finding, { density }: LegFigures, clock: LocalClock): LegsStatement {
  return {
    code: nameOf(finding),
    text: findingSentence(finding, clock),
    coverage: finding.coverage,
    timesMs: timesOf(finding, density),
    settings: finding.settings,
  };
}

function nameOf(finding: Finding): string {
  if (finding.code === "not-in-log") return `not-in-log-${finding.figures.what}`;
  return finding.code === "leg-voltage" ? `${finding.code}-${finding.figures.leg}` : finding.code;
}

function timesOf(finding: Finding, density: LegDensity | null): number[] {
  if (finding.code === "neutral-current") return [finding.figures.atMs];
  if (finding.code === "leg-voltage") return [finding.figures.minAtMs, finding.figures.maxAtMs];
  if (finding.code === "stranded-capacity" && finding.figures.atPeakW !== null && density !== null)
    return [density.peaks.both.atMs];
  return [];
}
