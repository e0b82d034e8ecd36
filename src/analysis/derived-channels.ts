import type { NumericChannel } from "./series";

/** A quantity that the log doesn't measure, and what it is taken from instead (definitions D2). */
export type DerivedChannel = { readonly what: string; readonly from: string };

/**
 * Quantities that the results stand on and that are derived from other channels of the log throughout. Where a
 * channel is there and only misses values, those are derived too, row by row.
 *
 * @example derivedChannels(["loadL1W", "loadL2W"]) // [{ what: "loadW", from: "loadL1W + loadL2W" }]
 */
export function derivedChannels(channels: readonly NumericChannel[]): DerivedChannel[] {
  const has = (channel: NumericChannel) => channels.includes(channel);
  const derived: DerivedChannel[] = [];
  const leg1 = has("loadL1W") || has("loadL1A");
  const leg2 = has("loadL2W") || has("loadL2A");
  for (const leg of ["L1", "L2"] as const) {
    if (!has(`load${leg}W`) && has(`load${leg}A`)) {
      const volts = has(`load${leg}V`) ? `load${leg}V` : "legNominalV";
      derived.push({ what: `load${leg}W`, from: `load${leg}A · ${volts}` });
    }
  }
  if (has("loadW") && leg1 !== leg2) {
    const [known, other] = leg1 ? ["loadL1W", "loadL2W"] : ["loadL2W", "loadL1W"];
    derived.push({ what: other, from: `loadW − ${known}` });
  }
  if (!has("loadW") && leg1 && leg2) derived.push({ what: "loadW", from: "loadL1W + loadL2W" });
  if (!has("batteryW") && has("batteryV") && has("batteryA")) {
    derived.push({ what: "batteryW", from: "batteryV · batteryA" });
  }
  const strings = (["solar1W", "solar2W", "solar3W", "solar4W"] as const).filter(has);
  if (!has("solarW") && strings.length > 0) derived.push({ what: "solarW", from: strings.join(" + ") });
  if (!has("gridW")) {
    if (has("gridL1W") && has("gridL2W")) derived.push({ what: "gridW", from: "gridL1W + gridL2W" });
    else if (has("gridL1A") && has("gridL2A"))
      derived.push({ what: "gridW", from: "gridL1A · V + gridL2A · V" });
  }
  return derived;
}
