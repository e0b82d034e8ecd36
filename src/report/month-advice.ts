import type { Finding, FindingCode, FindingOf } from "../analysis/finding";
import type { TransferCause } from "../analysis/series";
import { formatCount, formatDuration, formatLoading, howOften } from "./format";
import type { Advice } from "./month-summary";

/**
 * What to do next, most useful first: each advice names the figure that supports it. No advice where the findings
 * give no reason for one.
 */
export function monthAdvice(findings: readonly Finding[]): Advice[] {
  const advice: Advice[] = [];
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
      text: `Have a circuit moved from ${leg} to ${otherLeg}: in ${count} of ${formatCount(of, "transfer")} ${leg} was the fuller leg (mean loading ${formatLoading(meanLoading)}) while the mean of both legs was ${formatLoading(meanOfLegs)}.${mind} Work in the panel is for a licensed electrician.`,
    });
  }
  for (const { figures, settings } of all(findings, "avoidable")) {
    if (figures.stackedStarts === 0) continue;
    advice.push({
      code: "stagger",
      text: `Start large loads one after the other: before ${figures.stackedStarts} of ${formatCount(figures.of, "transfer")} two or more came on within ${formatDuration(settings.stackedWithinS ?? Number.NaN)}.`,
    });
  }
  const of = (...causes: TransferCause[]) => {
    const sum = { count: 0, onUtilityS: 0 };
    for (const { figures } of all(findings, "transfers-of-cause")) {
      if (!causes.includes(figures.cause)) continue;
      sum.count += figures.count;
      sum.onUtilityS += figures.onUtilityS;
    }
    return sum;
  };
  const starts = of("motor-start", "load-step");
  if (starts.count > 0) {
    advice.push({
      code: "soften",
      text: `Find what comes on: ${formatCount(starts.count, "transfer")} came with a sudden rise on one leg. A motor among them may need a soft starter or its own time; a log at one-second intervals would show more.`,
    });
  }
  const low = of("low-battery");
  if (low.count > 0) {
    advice.push({
      code: "battery-low",
      text: `The battery was empty ${howOften(low.count)} (${formatDuration(low.onUtilityS)} on the utility): move heavy use into the sunny hours before a bigger inverter is thought of; it wouldn't help here.`,
    });
  }
  for (const { figures } of all(findings, "nuisance")) {
    advice.push({
      code: "nuisance",
      text: `Ask whoever installed it about the overload settings: ${formatCount(figures.count, "transfer")} came although the nameplate's allowance had not been used up.`,
    });
  }
  for (const { figures } of all(findings, "continuous-load")) {
    advice.push({
      code: `continuous-${figures.device}`,
      text: `Have an electrician look at the rating of ${figures.device === "dc-fuse" ? "the battery's fuse and cables" : figures.device === "service" ? "the service" : "the pass-through"}: it carried continuous load ${howOften(figures.stretches)}, at the longest for ${formatDuration(figures.durationS)}.`,
    });
  }
  const scheduled = of("scheduled");
  if (scheduled.count > 0) {
    advice.push({
      code: "scheduled",
      text: `Look at the inverter's time settings: ${formatCount(scheduled.count, "transfer")} came at the same clock time on many days, with no load to explain it.`,
    });
  }
  const faults = of("fault");
  if (faults.count > 0) {
    advice.push({
      code: "faults",
      text: `Look up the fault codes in the inverter's manual: ${formatCount(faults.count, "transfer")} came with one.`,
    });
  }
  const unexplained = of("unexplained", "in-gap");
  if (unexplained.count > 0) {
    advice.push({
      code: "log-finer",
      text: `Log at a shorter interval and without gaps: ${formatCount(unexplained.count, "transfer")} can't be explained from this log.`,
    });
  }
  return advice;
}

function all<C extends FindingCode>(findings: readonly Finding[], code: C): FindingOf<C>[] {
  return findings.filter((finding): finding is FindingOf<C> & Finding => finding.code === code);
}
