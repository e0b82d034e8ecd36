import type { LocalClock } from "../analysis/local-time";
import type { Evidence } from "../analysis/results";
import { causeName } from "./cause-words";
import { formatClock, formatDuration, formatLoading, formatPower, formatShare } from "./format";
import { quantityName } from "./quantity-name";

/**
 * A piece of evidence as a sentence. Every code that the analysis gives has one; a code from a newer version
 * is shown with its figures.
 */
export function evidenceSentence(evidence: Evidence, clock: LocalClock): string {
  const f = reader(evidence);
  switch (evidence.code) {
    case "peak-loading":
      return `${capital(quantityName(f.text("quantity")))} reached ${formatLoading(f.number("loading"))} of its limit (${formatPower(f.number("loadW"))}) at ${formatClock(f.number("atMs"), clock, true)}${f.flag("near") ? "" : ", some time before the transfer"}.`;
    case "fault-code": {
      const meaning = f.text("meaning");
      return `The inverter gave fault code ${f.text("faultCode")} at ${formatClock(f.number("atMs"), clock, true)}${meaning === "" ? "" : `, which the column map says means ${causeName(meaning)}`}.`;
    }
    case "dc-current":
      return `The battery gave ${f.number("batteryA").toFixed(0)} A; its rating is ${f.number("maxDischargeA").toFixed(0)} A (counted from ${formatShare(f.number("dcLimitAt"))} of it).`;
    case "temperature":
      return `The inverter was at ${f.number("inverterTempC").toFixed(0)} °C; its limit is ${f.number("maxTempC").toFixed(0)} °C.`;
    case "low-soc":
      return `The battery was down to ${f.number("batterySocPct").toFixed(0)} % state of charge; the inverter leaves it at ${f.number("lowSocPct").toFixed(0)} % (counted within ${f.number("lowSocMarginPct")} points).`;
    case "low-volts":
      return `The battery was down to ${f.number("batteryV").toFixed(1)} V; the inverter leaves it at ${f.number("lowV").toFixed(1)} V (counted within ${f.number("lowVMarginV")} V).`;
    case "leg-rise":
      return `${f.text("leg")} rose by ${formatPower(f.number("riseW"))} at that moment, ${formatShare(f.number("riseW") / f.number("legLimitW"))} of the leg's limit: something came on (counted from ${formatShare(f.number("startRise"))}).`;
    case "peak-channel":
      return `A peak channel of the log shows ${formatLoading(f.number("loading"))} of the leg's limit within the interval.`;
    case "same-clock-time":
      return `On ${f.number("days")} of ${f.number("ofDays")} other days with samples within two weeks it went over within ${formatDuration(f.number("toleranceS"))} of the same clock time.`;
    case "return-delay":
      return `It came back after ${formatDuration(f.number("onUtilityS"))}, as after an overload that was over at once: the return delay is ${formatDuration(f.number("returnDelayS"))} (± ${formatDuration(f.number("toleranceS"))}).`;
    case "gap-before":
      return "The log has a gap just before it: when and why it happened lies in the gap.";
    case "interval-hides":
      return f.number("intervalS") > 1
        ? `The log has a sample every ${formatDuration(f.number("intervalS"))}: what went up and down between two samples, a motor start above all, it can't show.`
        : "The log has a sample a second: an inrush shorter than that it can't show.";
    case "without-grid":
      return f.flag("lowerBound")
        ? `Without a grid the loads would have been dead for ${formatDuration(f.number("onUtilityS"))} at least.`
        : `Without a grid the loads would have been dead for ${formatDuration(f.number("onUtilityS"))}, or longer.`;
    case "allowance-used":
      return allowance(f.number("usedBefore") + f.number("usedHidden"));
    case "allowance-hidden":
      return `Whether the nameplate's allowance was used up can't be told at this interval: ${formatDuration(f.number("intervalS"))} at that load may have been enough.`;
    case "legs-at-peak":
      return `${f.text("leg")} was full while the two legs' mean was ${formatLoading(f.number("meanLoading"))} of a leg's limit: on balanced legs the load would have fitted.`;
    case "stacked-rises":
      return `${f.number("rises")} loads of ${formatPower(f.number("leastW"))} or more came on within ${formatDuration(f.number("withinS"))}: started one after the other they might have fitted.`;
    case "last-return":
      return `It had come back only ${formatDuration(f.number("sinceS"))} before.`;
    case "nothing-found":
      return "Neither load, battery, fault code nor clock time explains it.";
    default:
      return `${evidence.code}: ${Object.entries(evidence.figures)
        .map(([name, value]) => `${name} ${value}`)
        .join(", ")}`;
  }
}

function allowance(used: number): string {
  return used < 1
    ? `Of the overload allowance on the nameplate at most ${formatShare(used)} was used: by it the inverter should have carried this.`
    : "The overload allowance on the nameplate was used up.";
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function reader(evidence: Evidence) {
  return {
    /** A figure as a number; NaN where it isn't one. */
    number(name: string): number {
      const value = evidence.figures[name];
      return typeof value === "number" ? value : Number.NaN;
    },
    text(name: string): string {
      const value = evidence.figures[name];
      return value === null || value === undefined ? "" : String(value);
    },
    flag(name: string): boolean {
      return evidence.figures[name] === true;
    },
  };
}
