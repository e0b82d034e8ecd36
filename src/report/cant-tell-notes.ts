import { coveredS } from "../analysis/coverage";
import { type CantTellReason, noteOf } from "../analysis/note";
import type { Note, ReviewResult } from "../analysis/results";

type Reason = CantTellReason | ((result: ReviewResult) => CantTellReason);

/** A place, or the beginning of places, and why it is null there. */
type Rule = readonly [place: string, reason: Reason];

/** One sample stands for no time, so that nothing can be added up, whatever it holds. */
const unlessOne =
  (reason: Reason): Reason =>
  (result) =>
    result.coverage.samples < 2 ? "too-few-samples" : typeof reason === "function" ? reason(result) : reason;
const noLoad: Reason = ({ figures }) => (coveredS(figures.coverage, "total") > 0 ? "not-covered" : "no-load");
const noLeg: Reason = ({ figures: { coverage } }) =>
  coveredS(coverage, "L1") > 0 || coveredS(coverage, "L2") > 0 ? "not-enough" : "no-legs";

/** Places by the path of their key, [] for any index; a place ends with * where everything below it counts. */
const RULES: readonly Rule[] = [
  ["coverage.from", "no-samples"],
  ["coverage.to", "no-samples"],
  ["coverage.nominalS", "too-few-samples"],
  ["coverage.ratio", "too-few-samples"],
  // The loading was shown by VA alone.
  ["nearLimit[].peakW", "not-measured"],
  ["nearLimit[].evidence[].figures.*", "see-message"],
  ["transfers[].returnedAt", "not-shown"],
  ["transfers[].limiting", "no-load-there"],
  ["transfers[].peakLoading", "no-load-there"],
  ["transfers[].peakAt", "no-load-there"],
  ["transfers[].evidence[].figures.*", "see-message"],
  ["dropouts[].endedAt", "not-shown"],
  ["dropouts[].limiting", "no-load-there"],
  ["dropouts[].peakLoading", "no-load-there"],
  ["dropouts[].peakAt", "no-load-there"],
  ["dropouts[].evidence[].figures.*", "see-message"],
  ["returnDelay.*", "none"],
  ["imbalance", unlessOne("no-legs")],
  ["imbalance.*", "none"],
  ["demand", unlessOne(noLoad)],
  ["demand.heavierLegPeak*", noLeg],
  ["demand.service*", "not-enough"],
  // The relay carries something on utility only.
  ["demand.passThrough*", noLeg],
  ["demand.loadFactor", "share-of-nothing"],
  ["loadDuration", unlessOne("no-load")],
  ["loadDuration.total", "no-load"],
  ["loadDuration.*", "no-legs"],
  ["shares.total.*", "share-of-nothing"],
  ["shares.days[].*", "share-of-nothing"],
  ["voltage", "no-volts"],
  ["voltage.openNeutral", unlessOne(({ figures }) => (figures.imbalance === null ? "no-legs" : "no-volts"))],
  ["voltage.openNeutral[].evidence[].figures.*", "see-message"],
  ["voltage.L1", "no-volts"],
  ["voltage.L2", "no-volts"],
  ["voltage.L1.*", "none"],
  ["voltage.L2.*", "none"],
  ["battery", unlessOne("no-battery")],
  ["battery.current", "no-battery-current"],
  ["battery.current.maxCRate", "no-rating"],
  ["battery.current.max*", "none"],
  ["battery.current.*", "no-rating"],
  ["battery.energy", "no-battery-power"],
  [
    "battery.energy.cyclesPerMonth",
    ({ figures }) => (figures.battery?.power?.equivalentFullCycles === null ? "no-rating" : "too-short"),
  ],
  ["battery.energy.*", "no-rating"],
  ["battery.model", ({ figures }) => (figures.battery?.power === null ? "no-battery-power" : "no-fit")],
  ["battery.model.r2", "none"],
  ["battery.model.days", "no-fit"],
  [
    "battery.roundTrip",
    ({ figures }) => (figures.battery?.power === null ? "no-battery-power" : "no-round-trip"),
  ],
  ["battery.socByHour", "no-soc"],
  ["battery.resistance", "too-few-steps"],
  ["battery.resistance.*", "none"],
  ["battery.capacity", "no-deep-discharge"],
  ["battery.capacity.*", "no-deep-discharge"],
  ["longestRunHeld", "none"],
  ["continuousLoad[].evidence[].figures.*", "see-message"],
  ["findings[].coverage", "none"],
  ["findings[].intervalS", "too-few-samples"],
  ["findings[].figures.*", "see-message"],
];

/**
 * A note for every place of `review --json` that is null, saying why: places whose paths differ only in an index have
 * one note together. Notes of their own, and what isn't computed yet, are left to the caller.
 *
 * @param object without its notes
 */
export function cantTellNotes(object: { readonly [key: string]: unknown }, result: ReviewResult): Note[] {
  const places = new Map<string, number>();
  collect(object, "", places);
  return [...places].map(([what, count]) =>
    noteOf("cant-tell", { what, places: count, reason: reasonOf(what, result), needs: null }),
  );
}

function collect(value: unknown, path: string, places: Map<string, number>): void {
  if (value === null) places.set(path, (places.get(path) ?? 0) + 1);
  else if (Array.isArray(value)) for (const one of value) collect(one, `${path}[]`, places);
  else if (typeof value === "object") {
    for (const [key, one] of Object.entries(value as object)) {
      collect(one, path === "" ? key : `${path}.${key}`, places);
    }
  }
}

function reasonOf(place: string, result: ReviewResult): CantTellReason {
  const rule = RULES.find(([of]) => (of.endsWith("*") ? place.startsWith(of.slice(0, -1)) : place === of));
  if (rule === undefined) return "no-reason";
  return typeof rule[1] === "function" ? rule[1](result) : rule[1];
}
