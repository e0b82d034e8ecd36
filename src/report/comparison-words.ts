import type { ComparedFigure } from "./compare-periods";
import { capital, formatDuration, formatEnergy, formatLoading, formatNumber, formatShare } from "./format";

/** A sentence on two periods; `code` is that of the figure it speaks of. */
export type ComparisonStatement = { readonly code: string; readonly text: string };

/**
 * What the two periods are called, by themselves and within a sentence.
 *
 * @example { before: "April 2026", after: "May 2026", inBefore: "in April 2026", inAfter: "in May 2026" }
 */
export type PeriodNames = {
  readonly before: string;
  readonly after: string;
  readonly inBefore: string;
  readonly inAfter: string;
};

/** Two months as they are called. */
export function monthNames(before: string, after: string): PeriodNames {
  return { before, after, inBefore: `in ${before}`, inAfter: `in ${after}` };
}

/** Differences of transfers a covered day that are worth naming a cause for. */
const WORTH_A_CAUSE = 0.05;

/**
 * Two periods held against each other in words: how far each is covered, then what can be told from both. Counts,
 * durations and energies stand per covered day.
 *
 * @param figures of `comparePeriods`
 */
export function comparisonWords(
  figures: readonly ComparedFigure[],
  { before, after, inBefore, inAfter }: PeriodNames,
): ComparisonStatement[] {
  const figure = (code: string) => figures.find((one) => one.code === code);
  const coverage = figure("coverage");
  if (coverage === undefined) return [{ code: "coverage", text: "Neither period has samples." }];
  const [a, b] = [coverage.before, coverage.after];
  const covered = `${capital(before)}: covered ${formatShare(a.value)} (${formatNumber(a.coveredDays, 1)} days), ${after}: ${formatShare(b.value)} (${formatNumber(b.coveredDays, 1)} days)`;
  const tooLittle = [...(a.coveredDays < 1 ? [before] : []), ...(b.coveredDays < 1 ? [after] : [])];
  if (tooLittle.length > 0) {
    return [
      {
        code: "coverage",
        text: `${covered}. Under one day of ${tooLittle.join(" and of ")} is too little to hold them against each other.`,
      },
    ];
  }
  const statements: ComparisonStatement[] = [
    { code: "coverage", text: `${covered}; what grows with time stands per covered day.` },
  ];
  const say = (code: string, sentence: (one: ComparedFigure, was: number, is: number) => string) => {
    const one = figure(code);
    if (one === undefined) return;
    const [was, is] = one.perDay
      ? [one.before.perDay, one.after.perDay]
      : [one.before.value, one.after.value];
    if (was !== null && is !== null) statements.push({ code, text: sentence(one, was, is) });
  };
  const inEach = (was: string, is: string) => `${was} ${inBefore}, ${is} ${inAfter}`;
  say("transfers", (_, was, is) => {
    const [first, second] = [formatNumber(was, 2), formatNumber(is, 2)];
    const change =
      first === second
        ? "no difference"
        : `${formatNumber(Math.abs(is - was), 2)} ${is > was ? "more" : "fewer"}`;
    return `Transfers a covered day: ${inEach(first, second)}: ${change}.`;
  });
  const cause = figures
    .filter(({ code, difference }) => code.startsWith("cause-") && Math.abs(difference ?? 0) >= WORTH_A_CAUSE)
    .sort((x, y) => Math.abs(y.difference ?? 0) - Math.abs(x.difference ?? 0))
    .at(0);
  if (cause !== undefined) {
    say(cause.code, ({ title }, was, is) => {
      return `Most of what differs is ${title.charAt(0).toLowerCase()}${title.slice(1)}: ${formatNumber(Math.abs(is - was), 2)} ${is > was ? "more" : "fewer"} a covered day.`;
    });
  }
  say(
    "on-utility",
    (_, was, is) => `On the utility a covered day: ${inEach(formatDuration(was), formatDuration(is))}.`,
  );
  for (const quantity of ["L1", "L2", "total"]) {
    say(`near-limit-${quantity}`, ({ title, before: x, after: y }, was, is) =>
      (x.value ?? 0) + (y.value ?? 0) === 0
        ? `${title}: never, in either of them.`
        : `${title} a covered day: ${inEach(formatDuration(was), formatDuration(is))}.`,
    );
  }
  say("peak-loading", (_, was, is) => `Greatest loading: ${inEach(formatLoading(was), formatLoading(is))}.`);
  say("load", (_, was, is) => `Load a covered day: ${inEach(formatEnergy(was), formatEnergy(is))}.`);
  say(
    "solar-fraction",
    (_, was, is) =>
      `Counting what the battery had from the sun, ${inEach(formatShare(was), formatShare(is))} of the load’s energy was solar.`,
  );
  return statements;
}
