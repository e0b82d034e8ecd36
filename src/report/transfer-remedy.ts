import type { EvidenceCode, EvidenceOf } from "../analysis/evidence";
import type { Transfer } from "../analysis/results";
import { formatDuration, formatPct, formatPower } from "./format";

/**
 * What would have prevented one transfer, in a sentence for each way that its evidence supports, the cheapest first;
 * where the log shows no way it says what would tell. Arithmetic on what was recorded, no promise.
 *
 * @example ["To have avoided the transfer itself: 600 W less on L1 would have left it at its limit, and L2 had …"]
 */
export function transferRemedy(transfer: Transfer): string[] {
  return [...ofTags(transfer), ...ofCause(transfer)];
}

function ofTags({ evidence, tags, cause }: Pick<Transfer, "evidence" | "tags" | "cause">): string[] {
  const remedies: string[] = [];
  const legs = pieceOf(evidence, "legs-at-peak");
  if (tags?.includes("one-leg") && legs !== null) {
    const { leg, loading, limitW, meanW } = legs;
    const other = leg === "L1" ? "L2" : "L1";
    const overW = loading * limitW - limitW;
    const spareW = limitW - (2 * meanW - loading * limitW);
    remedies.push(
      overW > 0 && spareW >= overW
        ? `To have avoided the transfer itself: ${formatPower(overW)} less on ${leg} would have left it at its limit, and ${other} had ${formatPower(spareW)} to spare at that moment: a circuit of that size that runs at such times, moved from ${leg} to ${other}.`
        : `To have avoided the transfer itself: a circuit that runs at such times, moved from ${leg} to ${other}. ${leg} was at ${formatPower(loading * limitW)} of its ${formatPower(limitW)} while the mean of both was ${formatPower(meanW)}.`,
    );
  }
  const stacked = pieceOf(evidence, "stacked-rises");
  if (tags?.includes("stacked-starts") && stacked !== null) {
    remedies.push(
      `Starts one after the other: ${stacked.rises} loads of ${formatPower(stacked.leastW)} or more came on within ${formatDuration(stacked.withinS)}.`,
    );
  }
  if (tags?.includes("within-allowance")) {
    remedies.push(
      "By its nameplate the inverter should have ridden through: ask whoever installed it about the overload settings.",
    );
  }
  const before = pieceOf(evidence, "last-return");
  if (tags?.includes("repeat") && before !== null && cause === "overload") {
    remedies.push(
      `It had come back ${formatDuration(before.sinceS)} before with the load still there: less load for longer, not a later start.`,
    );
  }
  return remedies;
}

function ofCause({ cause, evidence, tags, limiting }: Transfer): string[] {
  switch (cause) {
    case "overload": {
      const peak = pieceOf(evidence, "peak-loading");
      if (peak === null || tags?.includes("one-leg")) return [];
      const overW = (peak.loading - 1) * peak.limitW;
      if (!(overW > 0)) return ["A little less load at that moment: it was just under its limit."];
      const where = limiting === "total" ? "in all" : `on ${limiting}`;
      return [
        `To have avoided the transfer itself: ${formatPower(overW)} less load ${where} at that moment, or an inverter rated for so much more; moving loads between the legs alone would not have done.`,
      ];
    }
    case "dc-limit":
      return [
        "Less load or more sun at that moment. A battery, cables and fuse rated for more current are another way; that is for licensed people.",
      ];
    case "over-temperature":
      return ["A cooler place, or freer air to the inverter; less load while it is hot."];
    case "low-battery": {
      const soc = pieceOf(evidence, "low-soc");
      const at = soc === null ? "" : ` The battery was down to ${formatPct(soc.batterySocPct)}.`;
      return [
        `More charge in the battery: heavy use moved into the sunny hours, or more capacity.${at} A bigger inverter would not have prevented it.`,
      ];
    }
    case "motor-start":
    case "load-step":
      return [
        "A softer start of what came on, or its start at a time when less else runs. How high it went between the samples the log can't show.",
      ];
    case "scheduled":
      return ["Another time setting in the inverter: it came at a clock time, not with a load."];
    case "fault":
      return ["What the fault code stands for: look it up in the inverter's manual."];
    case "in-gap":
      return ["The log can't tell: it happened in a gap. A log without gaps would."];
    case "unexplained":
      return ["The log can't tell. A shorter interval, or the inverter's fault codes beside it, may."];
  }
}

function pieceOf<C extends EvidenceCode>(
  evidence: Transfer["evidence"],
  code: C,
): EvidenceOf<C>["figures"] | null {
  return (evidence.find((one) => one.code === code) as EvidenceOf<C> | undefined)?.figures ?? null;
}
