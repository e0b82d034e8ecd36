import type { Finding, FindingCode, FindingOf } from "../analysis/finding";
import type { LocalClock } from "../analysis/local-time";
import { type PeriodSubject, periodFindings } from "../analysis/period-findings";
import type { Ratings } from "../analysis/ratings";
import type { Settings } from "../analysis/settings";
import { findingBasis } from "./finding-basis";
import { findingSentence } from "./finding-sentence";
import { formatCount, formatMonth, formatNumber, formatShare, howOften } from "./format";
import { monthAdvice } from "./month-advice";

/** The parts of a period in words, in the order in which they are read. */
export const SECTIONS = ["coverage", "transfers", "loading", "legs", "demand", "voltage", "energy"] as const;

export type Section = (typeof SECTIONS)[number];

/** What stands over each part. */
export const SECTION_TITLES: { readonly [S in Section]: string } = {
  coverage: "What carried the loads",
  transfers: "Transfers and returns",
  loading: "Loading",
  legs: "The two legs",
  demand: "Demand and devices",
  voltage: "Voltage",
  energy: "Energy",
};

/**
 * A statement with the figure it stands on already in it. `code` tells it from the others; `text` ends with how much of
 * the period is known, where that is less than the log covers; `sentence` is without, and `basis` says it in brief,
 * with the settings it depends on, which `settings` has as data.
 */
export type Statement = {
  readonly code: string;
  readonly section: Section;
  readonly text: string;
  readonly sentence: string;
  readonly basis: string;
  readonly settings: Partial<Settings>;
  /** The instant at which its figure stands in the log, epoch ms; null for one of the whole period. */
  readonly atMs: number | null;
};

/** What to do next, with the figure that speaks for it. */
export type Advice = { readonly code: string; readonly text: string };

/** A period in words. */
export type Summary = {
  /** What stands before anything else: the suspicion of an open neutral. */
  readonly warnings: readonly Statement[];
  /** The answer to "did it carry the house?". */
  readonly headline: string;
  /** Held time over the period's length; null where there are no samples. */
  readonly coverage: number | null;
  readonly statements: readonly Statement[];
  /** Most useful first. */
  readonly advice: readonly Advice[];
};

const SECTION_OF: { readonly [C in Exclude<FindingCode, "not-in-log">]: Section } = {
  "open-neutral": "voltage",
  "no-open-neutral": "voltage",
  coverage: "coverage",
  carried: "coverage",
  transfers: "transfers",
  "transfers-of-cause": "transfers",
  avoidable: "transfers",
  nuisance: "transfers",
  repeats: "transfers",
  dropouts: "transfers",
  "return-delay": "transfers",
  "peak-loading": "loading",
  "near-limit": "loading",
  "longest-run-held": "loading",
  "fuller-leg": "legs",
  imbalance: "legs",
  "stranded-capacity": "legs",
  "neutral-current": "legs",
  demand: "demand",
  "heavier-leg-demand": "demand",
  "service-current": "demand",
  "pass-through-current": "demand",
  "existing-load": "demand",
  "continuous-load": "demand",
  "no-continuous-load": "demand",
  "leg-voltage": "voltage",
  sag: "voltage",
  energy: "energy",
  "solar-fraction": "energy",
  "self-consumption": "energy",
  losses: "energy",
};

/**
 * The summary of a month (or of a whole log, without `month`), made of its findings alone: no figure without its unit
 * and coverage. Coverage is said once for all; where a figure is known for less of the period, beside it.
 *
 * @param month yyyy-MM, or null for "the log"
 * @param before results of the month before, where there are any
 */
export function monthSummary(
  results: PeriodSubject,
  month: string | null,
  ratings: readonly Ratings[],
  clock: LocalClock,
  before: PeriodSubject | null = null,
): Summary {
  return summaryOf(
    periodFindings(results, ratings, clock),
    month === null ? "the log" : formatMonth(month),
    clock,
    before === null ? [] : periodFindings(before, ratings, clock),
  );
}

/** The summary of a period from its findings. */
export function summaryOf(
  findings: readonly Finding[],
  period: string,
  clock: LocalClock,
  before: readonly Finding[],
): Summary {
  const carried = findingOf(findings, "carried");
  if (carried === undefined) {
    const headline = `There are no samples for ${period}.`;
    return { warnings: [], headline, coverage: null, statements: [], advice: [] };
  }
  const whole = findingOf(findings, "coverage")?.coverage ?? null;
  const statements = findings
    .map((finding) => statementOf(finding, whole, clock))
    .sort((a, b) => SECTIONS.indexOf(a.section) - SECTIONS.indexOf(b.section));
  const isWarning = ({ code }: Statement) => code === ("open-neutral" satisfies FindingCode);
  return {
    warnings: statements.filter(isWarning),
    headline: headline(carried, period),
    coverage: whole,
    statements: [...statements.filter((one) => !isWarning(one)), ...comparison(findings, before)],
    advice: monthAdvice(findings),
  };
}

/** The first finding of a code. */
export function findingOf<C extends FindingCode>(
  findings: readonly Finding[],
  code: C,
): FindingOf<C> | undefined {
  return findings.find((finding): finding is FindingOf<C> & Finding => finding.code === code);
}

function statementOf(finding: Finding, whole: number | null, clock: LocalClock): Statement {
  const sentence = findingSentence(finding, clock);
  const less = findingBasis({ ...finding, settings: {} }, whole);
  return {
    code: nameOf(finding),
    section: finding.code === "not-in-log" ? sectionOf(finding.figures.what) : SECTION_OF[finding.code],
    text: less === "" ? sentence : `${sentence} This is ${less}.`,
    sentence,
    basis: findingBasis(finding, whole),
    settings: finding.settings,
    atMs: instantOf(finding),
  };
}

/** Where in the log a finding's figure is seen. */
function instantOf({ code, figures }: Finding): number | null {
  if (code === "open-neutral") return figures.fromMs;
  if ("atMs" in figures) return figures.atMs;
  if ("fromMs" in figures) return figures.fromMs;
  return "minAtMs" in figures ? figures.minAtMs : null;
}

function sectionOf(what: string): Section {
  return SECTION_OF[what as keyof typeof SECTION_OF] ?? "coverage";
}

/** A finding's code with what tells it from others of the same code. */
function nameOf({ code, figures }: Finding): string {
  const parts: string[] = [code === "transfers-of-cause" ? "cause" : code];
  for (const name of ["cause", "leg", "quantity", "device", "what"] as const) {
    if (SEVERAL.has(code) && name in figures) parts.push(String(figures[name as keyof typeof figures]));
  }
  if (code === "sag") parts.push(figures.source);
  return parts.join("-");
}

/** Codes of which a period can have several findings. */
const SEVERAL: ReadonlySet<FindingCode> = new Set([
  "transfers-of-cause",
  "fuller-leg",
  "near-limit",
  "continuous-load",
  "leg-voltage",
  "sag",
  "not-in-log",
]);

function headline({ figures }: FindingOf<"carried">, period: string): string {
  const { share, transfers, dropouts, onUtilityS } = figures;
  if (share === null)
    return `Whether the inverter carried the loads in ${period} can't be told from this log.`;
  if (transfers === 0 && dropouts === 0) {
    return onUtilityS === 0
      ? `The inverter carried the loads through ${period}: no transfer to the utility in what was logged.`
      : `No transfer to the utility begins in ${period}; the loads were on the inverter ${formatShare(share)} of the time logged.`;
  }
  const parts = [];
  if (transfers > 0) parts.push(`went over to the utility ${howOften(transfers)}`);
  if (dropouts > 0) parts.push(`lost supply ${howOften(dropouts)}`);
  return `In ${period} the loads ${parts.join(" and ")}; the inverter carried them ${formatShare(share)} of the time logged.`;
}

/** Beside the month before; per covered day where both have one, since half the coverage isn't half the transfers. */
function comparison(findings: readonly Finding[], before: readonly Finding[]): Statement[] {
  const now = findingOf(findings, "carried");
  const then = findingOf(before, "carried");
  if (now === undefined || then === undefined) return [];
  const was = then.figures.transfers;
  const is = now.figures.transfers;
  const coverage = findingOf(before, "coverage")?.coverage ?? null;
  const had = `The month before (${formatShare(coverage)} covered) it had ${formatCount(was, "transfer")}`;
  const [daysThen, daysNow] = [before, findings].map(
    (of) => (findingOf(of, "coverage")?.figures.heldS ?? 0) / 86_400,
  );
  const change = was === is ? ", as many as now" : was > is ? `, ${was - is} more` : `, ${is - was} fewer`;
  const text =
    daysThen >= 1 && daysNow >= 1
      ? `${had}: ${formatNumber(was / daysThen, 2)} a covered day, now ${formatNumber(is / daysNow, 2)}.`
      : `${had}${change}.`;
  return [
    {
      code: "month-before",
      section: "transfers",
      text,
      sentence: text,
      basis: findingBasis(then, coverage),
      settings: then.settings,
      atMs: null,
    },
  ];
}
