import type { Ratings } from "../analysis/ratings";
import type { Transfer } from "../analysis/results";
import { formatCount, formatDuration, formatLoading, formatPower } from "./format";
import type { PeriodResults, Statement } from "./month-summary";

/**
 * What to do next, most useful first: each advice names the figure that supports it. No advice where the
 * results give no reason for one.
 */
export function monthAdvice(results: PeriodResults, ratings: Ratings): Statement[] {
  const advice: Statement[] = [];
  const { transfers } = results;
  const all = transfers.length;

  for (const leg of ["L1", "L2"] as const) {
    const full = transfers.filter((one) => one.tags?.includes("one-leg") === true && one.limiting === leg);
    if (full.length === 0) continue;
    const other = leg === "L1" ? "L2" : "L1";
    advice.push({
      code: `move-from-${leg}`,
      text: `Have a circuit moved from ${leg} to ${other}: in ${full.length} of ${formatCount(all, "transfer")} ${leg} was full (mean loading ${formatLoading(mean(full.map((one) => one.peakLoading ?? 0)))}) while the mean of both legs was ${formatLoading(mean(full.map(meanOfLegs)))} of a leg's ${formatPower(ratings.legLimitW)}. Work in the panel is for a licensed electrician.`,
    });
  }
  const stacked = transfers.filter((one) => one.tags?.includes("stacked-starts") === true);
  if (stacked.length > 0) {
    advice.push({
      code: "stagger",
      text: `Start large loads one after the other: before ${stacked.length} of ${formatCount(all, "transfer")} two or more came on within two minutes.`,
    });
  }
  const starts = transfers.filter((one) => one.cause === "motor-start" || one.cause === "load-step");
  if (starts.length > 0) {
    advice.push({
      code: "soften",
      text: `Find what comes on: ${formatCount(starts.length, "transfer")} came with a sudden rise on one leg. A motor among them may need a soft starter or its own time; a log at one-second intervals would show more.`,
    });
  }
  const low = transfers.filter((one) => one.cause === "low-battery");
  if (low.length > 0) {
    let onUtilityS = 0;
    for (const one of low) onUtilityS += one.onUtilityS;
    advice.push({
      code: "battery-low",
      text: `The battery was empty ${low.length === 1 ? "once" : low.length === 2 ? "twice" : `${low.length} times`} (${formatDuration(onUtilityS)} on the utility): move heavy use into the sunny hours before a bigger inverter is thought of; it wouldn't help here.`,
    });
  }
  const nuisance = transfers.filter((one) => one.nuisance === true);
  if (nuisance.length > 0) {
    advice.push({
      code: "nuisance",
      text: `Ask whoever installed it about the overload settings: ${formatCount(nuisance.length, "transfer")} came although the nameplate's allowance had not been used up.`,
    });
  }
  const scheduled = transfers.filter((one) => one.cause === "scheduled");
  if (scheduled.length > 0) {
    advice.push({
      code: "scheduled",
      text: `Look at the inverter's time settings: ${formatCount(scheduled.length, "transfer")} came at the same clock time on many days, with no load to explain it.`,
    });
  }
  const faults = transfers.filter((one) => one.cause === "fault");
  if (faults.length > 0) {
    advice.push({
      code: "faults",
      text: `Look up the fault codes in the inverter's manual: ${formatCount(faults.length, "transfer")} came with one.`,
    });
  }
  const unexplained = transfers.filter((one) => one.cause === "unexplained" || one.cause === "in-gap");
  if (unexplained.length > 0) {
    advice.push({
      code: "log-finer",
      text: `Log at a shorter interval and without gaps: ${formatCount(unexplained.length, "transfer")} can't be explained from this log.`,
    });
  }
  return advice;
}

function meanOfLegs(transfer: Transfer): number {
  const figure = transfer.evidence.find((one) => one.code === "legs-at-peak")?.figures.meanLoading;
  return typeof figure === "number" ? figure : 0;
}

function mean(values: readonly number[]): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}
