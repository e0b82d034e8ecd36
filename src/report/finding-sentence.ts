import type { Finding, FindingFigures } from "../analysis/finding";
import type { LocalClock } from "../analysis/local-time";
import { causeName } from "./cause-words";
import { deviceName, sourceName } from "./device-name";
import {
  capital,
  formatAmps,
  formatCount,
  formatDuration,
  formatEnergy,
  formatLoading,
  formatLocalTime,
  formatNumber,
  formatPower,
  formatShare,
  formatVolts,
} from "./format";
import { quantityName } from "./quantity-name";

type Figures<C extends keyof FindingFigures> = FindingFigures[C];

/**
 * A figure of a period as a sentence, from the finding alone: each figure with its unit. Every code has one; a code
 * from a newer version is shown with its figures.
 */
export function findingSentence(finding: Finding, clock: LocalClock): string {
  const { code, figures } = finding;
  const on = (atMs: number | null) => (atMs === null ? "a time not known" : formatLocalTime(atMs, clock));
  switch (code) {
    case "open-neutral":
      return openNeutral(figures, clock);
    case "no-open-neutral":
      return `Nothing looked like an open neutral (legs more than ${formatVolts(figures.openNeutralV)} apart on opposite sides); that is no proof that the neutral is sound.`;
    case "carried":
      return carried(figures);
    case "coverage":
      return coverage(figures, finding.intervalS);
    case "transfers":
      return `${formatCount(figures.count, "transfer")} to the utility, ${formatDuration(figures.onUtilityS)} there in all.`;
    case "transfers-of-cause":
      return `${capital(causeName(figures.cause))}: ${formatCount(figures.count, "transfer")}, ${formatDuration(figures.onUtilityS)} on the utility${certainty(figures)}.`;
    case "avoidable":
      return `${figures.count} of ${formatCount(figures.of, "transfer")} ${figures.count === 1 ? "was" : "were"} avoidable: balanced legs (${figures.oneLeg}) or staggered starts (${figures.stackedStarts}) would have spared ${figures.count === 1 ? "it" : "them"}.`;
    case "nuisance":
      return `${figures.count} of ${formatCount(figures.of, "transfer")} ${figures.count === 1 ? "was a nuisance transfer" : "were nuisance transfers"}: by its nameplate's overload allowance the inverter should have ridden through.`;
    case "repeats":
      return `${figures.count} of ${formatCount(figures.of, "transfer")} came within ${formatDuration(finding.settings.repeatWithinS ?? Number.NaN)} of the return before: often one long overload.`;
    case "fuller-leg":
      return `In ${figures.count} of ${formatCount(figures.of, "transfer")} ${figures.leg} was the fuller leg: at ${formatLoading(figures.meanLoading)} in the mean, the mean of both legs at ${formatLoading(figures.meanOfLegs)}.`;
    case "dropouts":
      return `${formatCount(figures.count, "dropout")}: the loads were dead for ${formatDuration(figures.deadS)} in all.`;
    case "return-delay":
      return returnDelay(figures, finding.intervalS);
    case "peak-loading":
      return peakLoading(figures, on(figures.atMs));
    case "near-limit":
      return nearLimit(finding.settings.nearLimitMinS ?? Number.NaN, figures);
    case "longest-run-held":
      return `The longest run that the inverter held near or above a limit: ${formatDuration(figures.durationS)} from ${on(figures.fromMs)} (${quantityName(figures.quantity)}, up to a loading of ${formatLoading(figures.peakLoading)}).`;
    case "imbalance":
      return imbalance(figures);
    case "stranded-capacity":
      return stranded(figures, finding.settings.imbalanceLoadEnter ?? Number.NaN);
    case "neutral-current":
      return `The greatest current in the neutral was ${formatAmps(figures.neutralA)} on ${on(figures.atMs)}, for loads in phase; where power factors differ it was more.`;
    case "demand":
      return `Peak demand was ${formatPower(figures.peakW)}, the mean of the 15 minutes from ${on(figures.atMs)}${figures.loadFactor === null ? "" : `; load factor ${formatShare(figures.loadFactor)}`}, over ${formatCount(figures.recordDays, "day")} of record.`;
    case "heavier-leg-demand":
      return `The heavier leg's peak demand was ${formatAmps(figures.currentA)} (${figures.leg === null ? "" : `${figures.leg}, `}its power over ${formatNumber(figures.legNominalV, 0)} V, in the 15 minutes from ${on(figures.atMs)}).`;
    case "service-current":
      return `A leg of the service carried at most ${formatAmps(figures.currentA)}, in the mean of the 15 minutes from ${on(figures.atMs)}${ofRating(figures.currentA, figures.serviceA, "serviceA")}.`;
    case "pass-through-current":
      return `A leg of the pass-through carried at most ${formatAmps(figures.currentA)} on utility, load and charging, in the mean of the 15 minutes from ${on(figures.atMs)}${ofRating(figures.currentA, figures.passThroughA, "passThroughA")}.`;
    case "existing-load":
      return existingLoad(figures);
    case "continuous-load":
      return `${capital(deviceName(figures.device))} carried continuous load ${figures.stretches === 1 ? "once" : `${figures.stretches} times`}: at the longest ${formatDuration(figures.durationS)} from ${on(figures.fromMs)}, ${formatAmps(figures.meanA)} in the mean and ${formatAmps(figures.maxA)} at most of its ${formatAmps(figures.ratingA)}. Three hours or more from 80 % of a rating up want a rating of 125 % of the load, or a device listed for 100 % [NEC 210.20(A), 215.3].`;
    case "no-continuous-load":
      return `No continuous load, which is 80 % of a rating for three hours or more, on ${devices(figures)}, as far as the log tells their current.`;
    case "leg-voltage":
      return legVoltage(figures, clock);
    case "sag":
      return `${capital(sourceName(figures.source))} ${figures.leg} ${figures.voltsPerKw <= 0 ? "falls" : "rises"} by ${formatNumber(Math.abs(figures.voltsPerKw), 2)} V per kW of its load (${figures.r2 === null ? "" : `r² ${formatNumber(figures.r2, 2)}, `}${formatCount(figures.samples, "sample")}).`;
    case "energy":
      return energy(figures);
    case "solar-fraction":
      return `Counting what the battery had from the sun, ${formatShare(figures.fraction)} of the load's energy was solar: ${formatEnergy(figures.solarWh)} of ${formatEnergy(figures.loadWh)}.`;
    case "self-consumption":
      return `Of ${formatEnergy(figures.solarWh)} from the sun ${formatShare(figures.share)} was used here, by the loads or into the battery: ${formatEnergy(figures.usedWh)}.`;
    case "losses":
      return figures.lossesWh >= 0
        ? `${formatEnergy(figures.lossesWh)} of ${formatEnergy(figures.suppliedWh)} supplied went into losses, or the meters disagree by it.`
        : `The meters disagree: they show ${formatEnergy(-figures.lossesWh)} more used than the ${formatEnergy(figures.suppliedWh)} supplied.`;
    case "not-in-log":
      return NOT_IN_LOG[figures.what] ?? `Not in this log: ${figures.what}.`;
    default:
      return ofNewerVersion(finding);
  }
}

const NOT_IN_LOG: { readonly [what: string]: string } = {
  "peak-loading": "Loading: not in this log, it has no load.",
  imbalance: "What each leg carries: not in this log.",
  demand: "Demand: no clock interval of 15 minutes is covered enough.",
  "service-current": "Amperes of the service: not in this log for any 15 minutes that are covered enough.",
  "open-neutral":
    "Whether a neutral is open: not in this log, it would take the voltage and the load of both legs.",
  "leg-voltage": "Leg voltage, and with it an open neutral: not in this log.",
  energy: "Where the energy came from: not in this log, it has no load.",
};

function openNeutral(figures: Figures<"open-neutral">, clock: LocalClock): string {
  const often = figures.stretches === 1 ? "" : `, the worst of ${figures.stretches} such stretches`;
  return `STOP: this looks like an open or bad neutral. On ${formatLocalTime(figures.fromMs, clock, true)} (${formatCount(figures.samples, "sample")}, ${sourceName(figures.source)}${often}) the legs lay ${formatVolts(figures.differenceV)} apart on opposite sides: L1 ${formatVolts(figures.l1V)} at ${formatPower(figures.l1W)}, L2 ${formatVolts(figures.l2V)} at ${formatPower(figures.l2W)}. Switch off what is sensitive and call an electrician before anything else.`;
}

function carried(figures: Figures<"carried">): string {
  if (figures.share === null) return "What carried the loads can't be told from this log.";
  const parts = [
    figures.onUtilityS > 0
      ? `for ${formatDuration(figures.onUtilityS)} they were on the utility`
      : "they were never on the utility",
  ];
  if (figures.deadS > 0) parts.push(`for ${formatDuration(figures.deadS)} dead`);
  if (figures.unknownS > 0) parts.push(`for ${formatDuration(figures.unknownS)} it isn't known`);
  return `The inverter carried the loads for ${formatDuration(figures.onInverterS)}, ${formatShare(figures.share)} of the time that is known; ${parts.join(", ")}.`;
}

function coverage(figures: Figures<"coverage">, intervalS: number | null): string {
  const interval = intervalS === null ? "" : `, one every ${formatDuration(intervalS)}`;
  const samples = `${formatCount(figures.samples, "sample")}${interval}`;
  return figures.gaps === 0 && figures.ratio !== null && figures.ratio > 0.99999
    ? `The log covers 100 % of this period: ${samples}, no gap.`
    : `The log covers ${formatShare(figures.ratio)} of this period: ${samples}, ${formatCount(figures.gaps, "gap")}; the rest isn't counted in any figure here.`;
}

function certainty({ cause, count, seen }: Figures<"transfers-of-cause">): string {
  if (cause === "unexplained" || cause === "in-gap") return "";
  if (seen === count) return "; seen in the log";
  return seen === 0 ? "; inferred" : `; ${seen} seen in the log, ${count - seen} inferred`;
}

function returnDelay(figures: Figures<"return-delay">, intervalS: number | null): string {
  const { medianS, q1S, q3S, n, returnDelayS, toleranceS } = figures;
  const exactness = intervalS === null ? "" : `, ± ${formatDuration(intervalS)}`;
  const measured = `The loads came back ${formatDuration(medianS)} after they were under their limits (median of ${formatCount(n, "return")}, the middle half ${formatDuration(q1S)} to ${formatDuration(q3S)}${exactness})`;
  if (returnDelayS === null) return `${measured}; the ratings don't give a return delay.`;
  return Math.abs(medianS - returnDelayS) > toleranceS
    ? `${measured}, not after the ${formatDuration(returnDelayS)} of the ratings.`
    : `${measured}; the ratings say ${formatDuration(returnDelayS)}, which is within ${formatDuration(toleranceS)} of it.`;
}

function peakLoading(figures: Figures<"peak-loading">, on: string): string {
  const { quantity, loading, loadW, limitW } = figures;
  const name = quantityName(quantity);
  const ofLimit = limitW === null ? "" : ` of ${formatPower(limitW)}`;
  return loadW === null || limitW === null
    ? `The greatest loading was ${formatLoading(loading)}${ofLimit}: ${name} on ${on}.`
    : `The greatest loading was ${formatLoading(loading)}: ${name} asked for ${formatPower(loadW)}${ofLimit} on ${on}.`;
}

function nearLimit(nearLimitMinS: number, figures: Figures<"near-limit">): string {
  const name = capital(quantityName(figures.quantity));
  if (figures.intervals === 0)
    return `${name} never came near its limit for as long as ${formatDuration(nearLimitMinS)}.`;
  return `${name} was near or above its limit for ${formatDuration(figures.durationS)} in ${formatCount(figures.intervals, "interval")}, ${formatDuration(figures.onInverterS)} of it on the inverter; above its limit for ${formatDuration(figures.overLimitS)}, wherever the supply came from.`;
}

function imbalance(figures: Figures<"imbalance">): string {
  const mean = `The legs differed by ${formatShare(figures.meanShare)} of their sum in the mean`;
  if (figures.intervals === 0) return `${mean}; never far and long while one of them was loaded.`;
  return `${mean}; far and long in ${formatCount(figures.intervals, "interval")} of ${formatDuration(figures.durationS)} in all, by up to ${formatPower(figures.maxDifferenceW)}, mostly with ${figures.heavierLeg ?? "neither leg"} the heavier.`;
}

function stranded(figures: Figures<"stranded-capacity">, imbalanceLoadEnter: number): string {
  const parts: string[] = [];
  if (figures.atPeakW !== null) parts.push(`${formatPower(figures.atPeakW)} at the greatest load`);
  if (figures.meanW !== null) {
    parts.push(
      `${formatPower(figures.meanW)} in the mean while a leg was at ${formatLoading(imbalanceLoadEnter)} or more`,
    );
  }
  return `By the split of the legs this much of the ${formatPower(figures.totalLimitW)} could not be used: ${parts.join(", ")}.`;
}

function ofRating(currentA: number, ratingA: number | null, name: string): string {
  if (ratingA === null) return ` (the ratings give no ${name})`;
  return currentA > ratingA
    ? `: more than the ${formatAmps(ratingA)} rated`
    : `, of ${formatAmps(ratingA)} rated`;
}

function existingLoad(figures: Figures<"existing-load">): string {
  const reasons: string[] = [];
  if (figures.solarOrShaving)
    reasons.push("the article's recording exception excludes a service with solar or peak shaving");
  if (figures.under30Days)
    reasons.push(`it wants 30 days of record, this one has ${formatNumber(figures.recordDays, 0)}`);
  if (figures.seasonUnknown) reasons.push("it wants the larger of heating and cooling in the record");
  return `Arithmetic in the form of NEC 220.87 (Article 120 in the 2026 edition): 1.25 × ${formatAmps(figures.demandA)} = ${formatAmps(figures.demand125A)}, to compare with the service's ${formatAmps(figures.serviceA)}. It is no code calculation: ${reasons.join("; ")}.`;
}

function devices(figures: Figures<"no-continuous-load">): string {
  const names: string[] = [];
  if (figures.service) names.push(deviceName("service"));
  if (figures.passThrough) names.push(deviceName("pass-through"));
  return names.join(" or ");
}

function legVoltage(figures: Figures<"leg-voltage">, clock: LocalClock): string {
  const middle =
    figures.p1V === null || figures.p99V === null
      ? ""
      : `, 98 % of its samples from ${formatVolts(figures.p1V)} to ${formatVolts(figures.p99V)}`;
  const outside = `${formatDuration(figures.belowS)} under ${formatVolts(figures.lowV)}, ${formatDuration(figures.aboveS)} over ${formatVolts(figures.highV)}`;
  return `${figures.leg} lay between ${formatVolts(figures.minV)} (${formatLocalTime(figures.minAtMs, clock)}) and ${formatVolts(figures.maxV)} (${formatLocalTime(figures.maxAtMs, clock)})${middle}; ${outside}.`;
}

function energy(figures: Figures<"energy">): string {
  const { loadWh, generatorToLoadWh, unattributedWh } = figures;
  const share = (wattHours: number) => formatShare(wattHours / loadWh);
  const parts = [
    `the sun carried ${share(figures.solarToLoadWh)} directly`,
    `the battery ${share(figures.batteryToLoadWh)}`,
    `the grid ${share(figures.gridToLoadWh)}`,
  ];
  if (generatorToLoadWh > 0) parts.push(`a generator ${share(generatorToLoadWh)}`);
  if (unattributedWh / loadWh > 0.005) parts.push(`${share(unattributedWh)} can't be attributed`);
  return `Of ${formatEnergy(loadWh)} of load ${parts.join(", ")}.`;
}

/** What a newer version may hand over. */
function ofNewerVersion(finding: never): string {
  const { code, figures } = finding as { code: string; figures: { [name: string]: unknown } };
  return `${code}: ${Object.entries(figures)
    .map(([name, value]) => `${name} ${value}`)
    .join(", ")}.`;
}
