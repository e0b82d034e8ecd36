import type { NumericChannel } from "./series";

/** Which quantities a log can give, measured or derived, definitions D2. */
export type ChannelsPresent = {
  readonly source: boolean;
  readonly fault: boolean;
  readonly solar: boolean;
  readonly battery: boolean;
  readonly grid: boolean;
  readonly load: boolean;
  readonly legs: boolean;
  readonly soc: boolean;
  readonly strings: readonly NumericChannel[];
};

/**
 * What the channels of a log's column map amount to. A quantity is present where it is measured or where
 * all that it is derived from is there.
 */
export function channelsPresent(
  channels: readonly NumericChannel[],
  hasSource: boolean,
  hasFault: boolean,
): ChannelsPresent {
  const has = (channel: NumericChannel) => channels.includes(channel);
  const strings = (["solar1W", "solar2W", "solar3W", "solar4W"] as const).filter(has);
  const leg1 = has("loadL1W") || has("loadL1A");
  const leg2 = has("loadL2W") || has("loadL2A");
  const load = has("loadW") || (leg1 && leg2);
  return {
    source: hasSource,
    fault: hasFault,
    solar: has("solarW") || strings.length > 0,
    battery: has("batteryW") || (has("batteryA") && has("batteryV")),
    grid: has("gridW") || (has("gridL1W") && has("gridL2W")) || (has("gridL1A") && has("gridL2A")),
    load,
    legs: (leg1 && leg2) || (load && (leg1 || leg2)),
    soc: has("batterySocPct"),
    strings,
  };
}
