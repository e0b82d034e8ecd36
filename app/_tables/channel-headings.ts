import type { NumericChannel } from "../../src/analysis/series";

/** What a channel's column is headed with, its unit, and the decimals that it is shown with where the log gives none. */
export const CHANNEL_HEADINGS: {
  readonly [C in NumericChannel]: { title: string; unit: string; decimals: number };
} = {
  loadL1W: { title: "L1", unit: "W", decimals: 0 },
  loadL2W: { title: "L2", unit: "W", decimals: 0 },
  loadW: { title: "Load", unit: "W", decimals: 0 },
  loadL1Va: { title: "L1", unit: "VA", decimals: 0 },
  loadL2Va: { title: "L2", unit: "VA", decimals: 0 },
  loadL1A: { title: "L1", unit: "A", decimals: 1 },
  loadL2A: { title: "L2", unit: "A", decimals: 1 },
  loadL1V: { title: "L1", unit: "V", decimals: 1 },
  loadL2V: { title: "L2", unit: "V", decimals: 1 },
  loadL1PeakW: { title: "L1 peak", unit: "W", decimals: 0 },
  loadL2PeakW: { title: "L2 peak", unit: "W", decimals: 0 },
  solarW: { title: "Sun", unit: "W", decimals: 0 },
  solar1W: { title: "String 1", unit: "W", decimals: 0 },
  solar2W: { title: "String 2", unit: "W", decimals: 0 },
  solar3W: { title: "String 3", unit: "W", decimals: 0 },
  solar4W: { title: "String 4", unit: "W", decimals: 0 },
  batteryA: { title: "Battery", unit: "A", decimals: 1 },
  batteryV: { title: "Battery", unit: "V", decimals: 1 },
  batteryW: { title: "Battery power", unit: "W", decimals: 0 },
  batterySocPct: { title: "SOC", unit: "%", decimals: 1 },
  gridL1W: { title: "Grid L1", unit: "W", decimals: 0 },
  gridL2W: { title: "Grid L2", unit: "W", decimals: 0 },
  gridL1A: { title: "Grid L1", unit: "A", decimals: 1 },
  gridL2A: { title: "Grid L2", unit: "A", decimals: 1 },
  gridW: { title: "Grid", unit: "W", decimals: 0 },
  gridV: { title: "Grid", unit: "V", decimals: 1 },
  frequencyHz: { title: "Frequency", unit: "Hz", decimals: 1 },
  inverterTempC: { title: "Inverter", unit: "°C", decimals: 1 },
};
