import type { Finding, FindingCode, FindingOf } from "../analysis/finding";
import type { TransferCause } from "../analysis/series";
import { formatCount, formatDuration, formatLoading, formatShare, howOften } from "./format";
import type { Advice } from "./month-summary";

/** An advice, and how long the loads were on the utility for what it would change, s: it orders them. */
type Weighed = Advice & { readonly onUtilityS: number };

/**
 * What to do next: each advice names the figure that supports it. First what concerns safety, then what kept the loads
 * longest on the utility, last what only helps to find out more. No advice where the findings give no reason for one.
 */
export function monthAdvice(findings: readonly Finding[]): Advice[] {
  const advice: Weighed[] = [];
  const of = (...causes: TransferCause[]) => {
    const sum = { count: 0, onUtilityS: 0 };
    for (const { figures } of all(findings, "transfers-of-cause")) {
      if (!causes.includes(figures.cause)) continue;
      sum.count += figures.count;
      sum.onUtilityS += figures.onUtilityS;
    }
    return sum;
  };
  const wholeS = all(findings, "transfers-of-cause").reduce((sum, one) => sum + one.figures.onUtilityS, 0);
  const time = (onUtilityS: number) =>
    `${formatDuration(onUtilityS)} on the utility, ${formatShare(onUtilityS / wholeS)} of all of it`;
  const loads = of("overload", "motor-start", "load-step");
  const partOfLoads = (count: number) =>
    loads.count === 0 ? 0 : loads.onUtilityS * Math.min(1, count / loads.count);
  // One leg or the other: moving circuits both ways at once would be no advice.
  const [fuller, other] = all(findings, "fuller-leg").sort((a, b) => b.figures.count - a.figures.count);
  if (fuller !== undefined) {
    const { leg, count, of, meanLoading, meanOfLegs } = fuller.figures;
    const otherLeg = leg === "L1" ? "L2" : "L1";
    const mind =
      other === undefined
        ? ""
        : ` In ${other.figures.count} of them it was ${otherLeg}: choose a circuit that runs when ${leg} is full.`;
    advice.push({
      code: `move-from-${leg}`,
      onUtilityS: partOfLoads(count),
      text: `Have a circuit moved from ${leg} to ${otherLeg}: in ${count} of ${formatCount(of, "transfer")} ${leg} was the fuller leg (mean loading ${formatLoading(meanLoading)}) while the mean of both legs was ${formatLoading(meanOfLegs)}.${mind} Work in the panel is for a licensed electrician.`,
    });
  }
  for (const { figures, settings } of all(findings, "avoidable")) {
    if (figures.stackedStarts === 0) continue;
    advice.push({
      code: "stagger",
      onUtilityS: partOfLoads(figures.stackedStarts),
      text: `Start large loads one after the other: before ${figures.stackedStarts} of ${formatCount(figures.of, "transfer")} two or more came on within ${formatDuration(settings.stackedWithinS ?? Number.NaN)}.`,
    });
  }
  const starts = of("motor-start", "load-step");
  if (starts.count > 0) {
    advice.push({
      code: "soften",
      onUtilityS: starts.onUtilityS,
      text: `Find what comes on: ${formatCount(starts.count, "transfer")} came with a sudden rise on one leg. A motor among them may need a soft starter or its own time; a log at one-second intervals would show more.`,
    });
  }
  const low = of("low-battery");
  if (low.count > 0) {
    advice.push({
      code: "battery-low",
      onUtilityS: low.onUtilityS,
      text: `The battery was empty ${howOften(low.count)} (${time(low.onUtilityS)}): move heavy use into the sunny hours before a bigger inverter is thought of; it wouldn't help here.`,
    });
  }
  for (const { figures } of all(findings, "nuisance")) {
    advice.push({
      code: "nuisance",
      onUtilityS: partOfLoads(figures.count),
      text: `Ask whoever installed it about the overload settings: ${formatCount(figures.count, "transfer")} came although the nameplate's allowance had not been used up.`,
    });
  }
  for (const { figures } of all(findings, "continuous-load")) {
    advice.push({
      code: `continuous-${figures.device}`,
      onUtilityS: Number.POSITIVE_INFINITY,
      text: `Have an electrician look at the rating of ${figures.device === "dc-fuse" ? "the battery's fuse and cables" : figures.device === "service" ? "the service" : "the pass-through"}: it carried continuous load ${howOften(figures.stretches)}, at the longest for ${formatDuration(figures.durationS)}.`,
    });
  }
  const scheduled = of("scheduled");
  if (scheduled.count > 0) {
    advice.push({
      code: "scheduled",
      onUtilityS: scheduled.onUtilityS,
      text: `Look at the inverter's time settings: ${formatCount(scheduled.count, "transfer")} came at the same clock time on many days, without an overload (${time(scheduled.onUtilityS)}).`,
    });
  }
  const faults = of("fault");
  if (faults.count > 0) {
    advice.push({
      code: "faults",
      onUtilityS: faults.onUtilityS,
      text: `Look up the fault codes in the inverter's manual: ${formatCount(faults.count, "transfer")} came with one.`,
    });
  }
  const unexplained = of("unexplained", "in-gap");
  if (unexplained.count > 0) {
    advice.push({
      code: "log-finer",
      onUtilityS: 0,
      text: `Log at a shorter interval and without gaps: ${formatCount(unexplained.count, "transfer")} can't be explained from this log.`,
    });
  }
  return advice
    .map((one, at) => ({ ...one, at }))
    .sort((a, b) => (a.onUtilityS === b.onUtilityS ? a.at - b.at : b.onUtilityS - a.onUtilityS))
    .map(({ code, text }) => ({ code, text }));
}

function all<C extends FindingCode>(findings: readonly Finding[], code: C): FindingOf<C>[] {
  return findings.filter((finding): finding is FindingOf<C> & Finding => finding.code === code);
}
