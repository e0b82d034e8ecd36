import type { EvidenceFigures } from "../analysis/evidence";
import type { LocalClock } from "../analysis/local-time";
import type { Evidence } from "../analysis/results";
import { causeName } from "./cause-words";
import { deviceName, sourceName } from "./device-name";
import {
  capital,
  formatAmps,
  formatApparentPower,
  formatClock,
  formatClockTime,
  formatCount,
  formatDuration,
  formatLoading,
  formatLocalTime,
  formatPct,
  formatPower,
  formatShare,
  formatTemperature,
  formatVolts,
} from "./format";
import { quantityName } from "./quantity-name";

type Figures<C extends keyof EvidenceFigures> = EvidenceFigures[C];

/**
 * A piece of evidence as a sentence, from its figures alone: each with its unit, the limit that was in force, and
 * the name of the setting it was compared with. Every code has one; a code from a newer version is shown with its
 * figures.
 */
export function evidenceSentence(evidence: Evidence, clock: LocalClock): string {
  const { code, figures } = evidence;
  const at = (atMs: number) => formatClock(atMs, clock, true);
  switch (code) {
    case "window":
      return `Looked at: ${formatCount(figures.samples, "sample")} from ${at(figures.fromMs)} to ${at(figures.toMs)} (${formatDuration(figures.transferLookbackS)} or three intervals back, setting transferLookbackS).`;
    case "peak-loading":
      return peakLoading(figures, at(figures.atMs));
    case "no-loading":
      return figures.hasLoad
        ? "No load is known around it: the samples there have none."
        : "The log has no load channel: whether a load was the cause can't be told.";
    case "fault-code":
      return faultCode(figures, at(figures.atMs));
    case "dc-current":
      return `The battery gave ${formatAmps(figures.batteryA)} at ${at(figures.atMs)}; its rating is ${formatAmps(figures.maxDischargeA)} (counted from ${formatShare(figures.dcLimitAt)} of it, setting dcLimitAt).`;
    case "temperature":
      return `The inverter was at ${formatTemperature(figures.inverterTempC)} at ${at(figures.atMs)}; its limit is ${formatTemperature(figures.maxTempC)}.`;
    case "low-soc":
      return `The battery was down to ${formatPct(figures.batterySocPct)} state of charge at ${at(figures.atMs)}; the inverter leaves it at ${formatPct(figures.lowSocPct)} (counted within ${figures.lowSocMarginPct} points, setting lowSocMarginPct).`;
    case "low-volts":
      return `The battery was down to ${formatVolts(figures.batteryV)} at ${at(figures.atMs)}; the inverter leaves it at ${formatVolts(figures.lowV)} (counted within ${figures.lowVMarginV} V, setting lowVMarginV).`;
    case "battery-at-return":
      return batteryAtReturn(figures, clock);
    case "leg-rise":
      return `${figures.leg} rose by ${formatPower(figures.riseW)} between ${at(figures.fromMs)} and ${at(figures.toMs)}, ${formatShare(figures.riseW / figures.legLimitW)} of the leg's limit of ${formatPower(figures.legLimitW)}: something came on (counted from ${formatShare(figures.startRise)}, setting startRise).`;
    case "peak-channel":
      return `The log's peak channel of ${figures.leg} shows ${formatLoading(figures.loading)} of the leg's limit within the interval of ${at(figures.atMs)}: ${formatPower(figures.peakW)}, the limit was ${formatPower(figures.limitW)} (counted from ${formatLoading(figures.overloadSeenAt)}, setting overloadSeenAt).`;
    case "same-clock-time":
      return `On ${figures.days} of ${formatCount(figures.ofDays, "other day")} with samples within ${figures.scheduledWithinDays} days it went over within ${formatDuration(figures.toleranceS)} of the same clock time, ${formatClockTime(figures.clockS)}, with no loading from ${formatLoading(figures.overloadSeenAt)} up (counted from ${formatCount(figures.scheduledDays, "day")} and ${formatShare(figures.scheduledShare)} of them, settings scheduledDays and scheduledShare).`;
    case "return-delay":
      return `It came back after ${formatDuration(figures.onUtilityS)}, as after an overload that was over at once: the return delay is ${formatDuration(figures.returnDelayS)} (± ${formatDuration(figures.toleranceS)}). The samples show a loading of ${formatLoading(figures.loading)} (counted from ${formatLoading(figures.overloadInferredAt)}, setting overloadInferredAt).`;
    case "gap-before":
      return `The log has a gap just before it, from ${formatLocalTime(figures.gapFromMs, clock, true)} to ${formatLocalTime(figures.gapToMs, clock, true)}: when and why it happened lies in the gap.`;
    case "nothing-found":
      return nothingFound(figures);
    case "interval-hides":
      return intervalHides(figures.intervalS);
    case "without-grid":
      return figures.lowerBound
        ? `Without a grid the loads would have been dead for ${formatDuration(figures.onUtilityS)} at least: the log doesn't show the return.`
        : `Without a grid the loads would have been dead for ${formatDuration(figures.onUtilityS)}, or longer.`;
    case "dead-time":
      return deadTime(figures);
    case "allowance-used":
      return allowanceUsed(figures);
    case "allowance-hidden":
      return `Whether the overload allowance on the nameplate was used up can't be told at this interval: ${formatShare(figures.usedBefore)} of it was used before, and ${formatDuration(figures.intervalS)} at a loading of ${formatLoading(figures.loading)} may have been enough (${ladderStep(figures)}).`;
    case "legs-at-peak":
      return legsAtPeak(figures);
    case "stacked-rises":
      return `${formatCount(figures.rises, "load")} of ${formatPower(figures.leastW)} or more came on within ${formatDuration(figures.withinS)}: started one after the other they might have fitted (counted from ${formatShare(figures.stackedRise)} of a leg's limit of ${formatPower(figures.legLimitW)}, settings stackedRise and stackedWithinS).`;
    case "last-return":
      return `It had come back only ${formatDuration(figures.sinceS)} before, at ${at(figures.returnedAtMs)} (a repeat under ${formatDuration(figures.repeatWithinS)}, setting repeatWithinS).`;
    case "near-limit-peak":
      return nearLimitPeak(figures, at(figures.atMs));
    case "pass-through-peak":
      return `The pass-through reached ${formatLoading(figures.loading)} of its limit at ${at(figures.atMs)}: ${formatAmps(figures.currentA)}, the limit is ${formatAmps(figures.limitA)}.`;
    case "near-limit-span":
      return nearLimitSpan(figures);
    case "imbalance-span":
      return `For ${formatDuration(figures.durationS)} the legs differed by up to ${formatPower(figures.maxDifferenceW)} (at ${at(figures.atMs)}); ${figures.heavierLeg} carried more (counted from ${formatShare(figures.imbalanceEnter)} of a leg's limit until under ${formatShare(figures.imbalanceLeave)}, with the larger loading from ${formatLoading(figures.imbalanceLoadEnter)} until under ${formatLoading(figures.imbalanceLoadLeave)}; joined under ${formatDuration(figures.imbalanceJoinS)} apart, dropped under ${formatDuration(figures.imbalanceMinS)}; settings imbalanceEnter to imbalanceMinS).`;
    case "continuous-span":
      return `${capital(deviceName(figures.device))} carried 80 % or more of its ${formatAmps(figures.ratingA)} for ${formatDuration(figures.durationS)}, from ${formatLocalTime(figures.fromMs, clock)} to ${formatLocalTime(figures.toMs, clock)}: ${formatAmps(figures.meanA)} in the mean, ${formatAmps(figures.maxA)} at most (${at(figures.atMs)}). Three hours or more are continuous load [NEC Art. 100].`;
    case "legs-apart":
      return `From ${formatLocalTime(figures.fromMs, clock, true)} to ${formatLocalTime(figures.toMs, clock, true)} (${formatCount(figures.samples, "sample")}, ${sourceName(figures.source)}) the legs lay up to ${formatVolts(figures.differenceV)} apart, on opposite sides: L1 ${formatVolts(figures.l1V)} at ${formatPower(figures.l1W)}, L2 ${formatVolts(figures.l2V)} at ${formatPower(figures.l2W)} (${at(figures.atMs)}; counted from ${formatVolts(figures.openNeutralV)}, setting openNeutralV). An open or bad neutral looks like that.`;
    default:
      return ofNewerVersion(evidence);
  }
}

function peakLoading(figures: Figures<"peak-loading">, at: string): string {
  const lowered =
    figures.limitRatio < 1 ? `, lowered to ${formatShare(figures.limitRatio)} by temperature` : "";
  const counted = `(an overload counts from ${formatLoading(figures.overloadSeenAt)}, setting overloadSeenAt)`;
  return `${capital(quantityName(figures.quantity))} reached ${formatLoading(figures.loading)} of its limit at ${at}${figures.near ? "" : ", some time before"}: ${asked(figures)}${lowered} ${counted}.`;
}

/** Load and limit of a loading in the unit that it shows. */
function asked(
  figures: Pick<Figures<"peak-loading">, "shownIn" | "loadW" | "loading" | "limitW" | "limitVa">,
): string {
  switch (figures.shownIn) {
    case "W":
      return `${formatPower(figures.loadW)} asked for, the limit was ${formatPower(figures.limitW)}`;
    case "VA":
      return `${formatApparentPower(figures.loading * figures.limitVa)} asked for, the limit was ${formatApparentPower(figures.limitVa)}`;
    case "part":
      return `the inverter's part was ${formatPower(figures.loading * figures.limitW)} of the ${formatPower(figures.loadW)} asked for, the limit was ${formatPower(figures.limitW)}`;
  }
}

function faultCode(figures: Figures<"fault-code">, at: string): string {
  const code = figures.faultCode === null ? "a fault code" : `fault code ${figures.faultCode}`;
  const meaning =
    figures.meaning === null ? "" : `, which the column map says means ${causeName(figures.meaning)}`;
  const before =
    figures.codeBefore === null ? "there was none before" : `before it was ${figures.codeBefore}`;
  return `The inverter gave ${code} at ${at}${meaning}; ${before}.`;
}

function batteryAtReturn(figures: Figures<"battery-at-return">, clock: LocalClock): string {
  if (figures.returnedAtMs === null) {
    return "When the loads came back the log doesn't show, nor how full the battery was then.";
  }
  const known: string[] = [];
  if (figures.returnSocPct !== null) known.push(`${formatPct(figures.returnSocPct)} state of charge`);
  if (figures.returnBatteryV !== null) known.push(formatVolts(figures.returnBatteryV));
  const when = formatLocalTime(figures.returnedAtMs, clock);
  if (known.length === 0)
    return `The loads came back on ${when}; how full the battery was then isn't in the log.`;
  const setting =
    figures.resumeSocPct === null
      ? "the ratings don't say at what state of charge they should (resumeSocPct)"
      : `the ratings say ${formatPct(figures.resumeSocPct)} (resumeSocPct)`;
  return `The loads came back on ${when} with the battery at ${known.join(" and ")}; ${setting}.`;
}

function nothingFound(figures: Figures<"nothing-found">): string {
  const looked: string[] = [];
  const notInLog: string[] = [];
  const notThere: string[] = [];
  const noLimit: string[] = [];
  const consider = (
    name: string,
    has: boolean,
    value: number | null,
    limit: number | null,
    text: (value: number, limit: number) => string,
  ) => {
    if (!has) notInLog.push(name);
    else if (value === null) notThere.push(name);
    else if (limit === null) noLimit.push(name);
    else looked.push(text(value, limit));
  };
  if (figures.hasFaultCodes) looked.push("fault codes (no new one)");
  else notInLog.push("fault codes");
  consider(
    "battery current",
    figures.hasBatteryA,
    figures.batteryA,
    figures.maxDischargeA,
    (most, rating) => `battery current (${formatAmps(most)} at most, the rating is ${formatAmps(rating)})`,
  );
  consider(
    "inverter temperature",
    figures.hasTemperature,
    figures.inverterTempC,
    figures.maxTempC,
    (most, limit) =>
      `inverter temperature (${formatTemperature(most)} at most, the limit is ${formatTemperature(limit)})`,
  );
  consider(
    "state of charge",
    figures.hasSoc,
    figures.batterySocPct,
    figures.lowSocPct,
    (least, low) =>
      `state of charge (${formatPct(least)} at least, the inverter leaves at ${formatPct(low)})`,
  );
  consider(
    "battery voltage",
    figures.hasBatteryV,
    figures.batteryV,
    figures.lowV,
    (least, low) =>
      `battery voltage (${formatVolts(least)} at least, the inverter leaves at ${formatVolts(low)})`,
  );
  consider("load of the legs", figures.hasLegs, figures.riseW, figures.legLimitW, (most, limit) =>
    most > 0
      ? `a sudden rise of a leg (${figures.riseLeg} by ${formatPower(most)}; ${formatPower(figures.startRise * limit)} counts)`
      : "a sudden rise of a leg (none)",
  );
  if (figures.sameClockDays !== null) {
    looked.push(
      `the same clock time (on ${formatCount(figures.sameClockDays, "other day")}; ${figures.scheduledDays} count)`,
    );
  }
  if (figures.onUtilityS !== null && figures.returnDelayS !== null) {
    looked.push(
      `the return delay (on the utility for ${formatDuration(figures.onUtilityS)}; the delay is ${formatDuration(figures.returnDelayS)}, and a loading from ${formatLoading(figures.overloadInferredAt)} must go with it)`,
    );
  }
  const sentences = [
    looked.length === 0
      ? "There was nothing to look at that could explain it."
      : `Looked at, and none explains it: ${looked.join(", ")}.`,
  ];
  if (notInLog.length > 0) sentences.push(`Not in this log: ${notInLog.join(", ")}.`);
  if (notThere.length > 0) sentences.push(`Missing in these samples: ${notThere.join(", ")}.`);
  if (noLimit.length > 0) sentences.push(`The ratings give no limit for: ${noLimit.join(", ")}.`);
  return sentences.join(" ");
}

function intervalHides(intervalS: number): string {
  if (!(intervalS > 0)) return "The log has too few samples: what came before and after them it can't show.";
  if (intervalS > 1) {
    return `The log has a sample every ${formatDuration(intervalS)}: what went up and down between two samples, a motor start above all, it can't show.`;
  }
  return `The log has a sample every ${Number(intervalS.toPrecision(3))} s: an inrush shorter than that it can't show.`;
}

function allowanceUsed(figures: Figures<"allowance-used">): string {
  const step = ladderStep(figures);
  const { usedBefore, usedHidden } = figures;
  if (usedBefore === null) {
    return `The overload allowance on the nameplate was used up: the load had passed its last step before (${step}).`;
  }
  if (usedHidden === null || usedBefore + usedHidden >= 1) {
    return `The overload allowance on the nameplate was used up: ${formatShare(usedBefore)} of it before (${step}).`;
  }
  return `Of the overload allowance on the nameplate at most ${formatShare(usedBefore + usedHidden)} was used, ${formatShare(usedBefore)} before and at most ${formatShare(usedHidden)} within one interval of ${formatDuration(figures.intervalS)} (${step}): by it the inverter should have carried this.`;
}

function deadTime(figures: Figures<"dead-time">): string {
  const how = figures.bySource
    ? "By the log's source column"
    : `By a fall of the load from ${formatShare(figures.dropoutFromShare)} of the total limit or more to under ${formatShare(figures.dropoutToShare)}, with a leg under ${formatVolts(figures.dropoutV)} (settings dropoutFromShare, dropoutToShare, dropoutV),`;
  const long = figures.lowerBound ? " at least: the log doesn't show the end" : "";
  return `${how} the loads were dead for ${formatDuration(figures.deadS)}${long}.`;
}

/** The step of the nameplate's ladder that a loading falls under. */
function ladderStep(figures: Pick<Figures<"allowance-used">, "loading" | "upToRatio" | "forS">): string {
  return figures.upToRatio === null || figures.forS === null
    ? `a loading of ${formatLoading(figures.loading)} is beyond its last step`
    : `up to ${formatLoading(figures.upToRatio)} it allows ${formatDuration(figures.forS)}`;
}

function legsAtPeak(figures: Figures<"legs-at-peak">): string {
  const mean = `the mean of both legs was ${formatLoading(figures.meanLoading)} of a leg's limit (${formatPower(figures.meanW)} of ${formatPower(figures.limitW)})`;
  const counted = `(counted up to ${formatLoading(figures.oneLegMean)}, setting oneLegMean)`;
  return figures.loading >= 1
    ? `${figures.leg} was over its limit while ${mean}: on balanced legs the load would have fitted ${counted}.`
    : `${figures.leg} was the fuller leg, at ${formatLoading(figures.loading)}, while ${mean}: on balanced legs there would have been more room ${counted}.`;
}

function nearLimitPeak(figures: Figures<"near-limit-peak">, at: string): string {
  const reached = `${capital(quantityName(figures.quantity))} reached ${formatLoading(figures.loading)} of its limit at ${at}`;
  switch (figures.shownIn) {
    case "W":
      return `${reached}: ${formatPower(figures.loadW)}, the limit was ${formatPower(figures.limitW)}.`;
    case "VA":
      return `${reached}, by its VA: their limit is the tighter one${figures.loadW === null ? "" : `; its load was ${formatPower(figures.loadW)}`}.`;
    case "part":
      return `${reached}: the inverter's part was ${formatPower(figures.loading * figures.limitW)} of the ${formatPower(figures.loadW)} asked for, the limit was ${formatPower(figures.limitW)}.`;
  }
}

function nearLimitSpan(figures: Figures<"near-limit-span">): string {
  return `It lasted ${formatDuration(figures.durationS)} at a mean loading of ${formatLoading(figures.meanLoading)}, ${formatDuration(figures.overLimitS)} of it above the limit, ${formatDuration(figures.onInverterS)} on the inverter and ${formatDuration(figures.onUtilityS)} on the utility (counted from ${formatLoading(figures.nearLimitEnter)} until under ${formatLoading(figures.nearLimitLeave)}; joined under ${formatDuration(figures.nearLimitJoinS)} apart, dropped under ${formatDuration(figures.nearLimitMinS)} unless the limit was reached; settings nearLimitEnter, nearLimitLeave, nearLimitJoinS, nearLimitMinS).`;
}

/** What a database filled by a newer version may hold. */
function ofNewerVersion(evidence: never): string {
  const { code, figures } = evidence as { code: string; figures: { [name: string]: unknown } };
  return `${code}: ${Object.entries(figures)
    .map(([name, value]) => `${name} ${value}`)
    .join(", ")}.`;
}
