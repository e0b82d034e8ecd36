const NAMES: { readonly [channel: string]: string } = {
  loadW: "total load",
  loadL1W: "load of L1",
  loadL2W: "load of L2",
  loadL1A: "amperes of L1",
  loadL2A: "amperes of L2",
  loadL1V: "volts of L1",
  loadL2V: "volts of L2",
  legNominalV: "nominal leg voltage",
  batteryW: "battery power",
  batteryA: "battery current",
  batteryV: "battery voltage",
  solarW: "solar power",
  solar1W: "string 1",
  solar2W: "string 2",
  solar3W: "string 3",
  solar4W: "string 4",
  batterySocPct: "state of charge",
  loadL1Va: "apparent power of L1",
  loadL2Va: "apparent power of L2",
  loadL1PeakW: "peak load of L1",
  loadL2PeakW: "peak load of L2",
  gridV: "grid voltage",
  frequencyHz: "frequency",
  inverterTempC: "inverter temperature",
  gridW: "grid power",
  gridL1W: "grid power of L1",
  gridL2W: "grid power of L2",
  gridL1A: "grid amperes of L1",
  gridL2A: "grid amperes of L2",
  V: "volts",
};

/**
 * Channels in words, alone or in a term such as "loadW − loadL1W"; what is no channel stays as it is.
 *
 * @example channelName("batteryV · batteryA") // "battery voltage · battery current"
 */
export function channelName(term: string): string {
  return term
    .split(" ")
    .map((word) => NAMES[word] ?? word)
    .join(" ");
}
