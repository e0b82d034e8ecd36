import type { NumericChannel } from "../analysis/series";

/**
 * What a 120/240 V site can physically show, per channel in its own unit: a value outside is no measurement
 * (cell.out-of-range). The one table of it. The bounds are wide: they catch faulty readings and slips of
 * unit, not unusual sites. Solar power a little under zero is the converter's own draw at night; it is read
 * as zero, and counted in a note.
 */
export const CHANNEL_BOUNDS: { readonly [C in NumericChannel]: readonly [min: number, max: number] } = {
  loadL1W: [-100_000, 100_000],
  loadL2W: [-100_000, 100_000],
  loadW: [-200_000, 200_000],
  loadL1Va: [0, 100_000],
  loadL2Va: [0, 100_000],
  loadL1A: [-1_000, 1_000],
  loadL2A: [-1_000, 1_000],
  loadL1V: [0, 400],
  loadL2V: [0, 400],
  loadL1PeakW: [-100_000, 200_000],
  loadL2PeakW: [-100_000, 200_000],
  solarW: [-100, 200_000],
  solar1W: [-100, 100_000],
  solar2W: [-100, 100_000],
  solar3W: [-100, 100_000],
  solar4W: [-100, 100_000],
  batteryA: [-5_000, 5_000],
  batteryV: [0, 1_500],
  batteryW: [-200_000, 200_000],
  batterySocPct: [0, 100],
  gridL1W: [-100_000, 100_000],
  gridL2W: [-100_000, 100_000],
  gridL1A: [-1_000, 1_000],
  gridL2A: [-1_000, 1_000],
  gridW: [-200_000, 200_000],
  gridV: [0, 600],
  frequencyHz: [0, 100],
  inverterTempC: [-60, 200],
};
