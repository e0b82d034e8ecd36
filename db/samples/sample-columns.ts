import { NUMERIC_CHANNELS, type NumericChannel } from "../../src/analysis/series";

/** Name of a numeric channel's column in the table `sample`. @example sampleColumn("solar1W") // "solar_1_w" */
export function sampleColumn(channel: NumericChannel): string {
  return channel
    .replace(/([a-z])([A-Z0-9])/g, "$1_$2")
    .replace(/([0-9])([A-Z])/g, "$1_$2")
    .toLowerCase();
}

/** Place of a channel in NUMERIC_CHANNELS, which is its place in the arrays of `rollup` too. */
export function channelIndex(channel: NumericChannel): number {
  return NUMERIC_CHANNELS.indexOf(channel);
}
