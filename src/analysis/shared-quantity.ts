import type { Minutes } from "./minutes";
import type { NumericChannel } from "./series";

/** A quantity that two loggers both see, on the minutes of the second; NaN where one of them misses it. */
export type SharedQuantity = {
  /** A channel that both have, or "balance": grid by the second, load − sun − battery by the first. */
  what: NumericChannel | "balance";
  one: Float32Array;
  other: Float32Array;
};

/** Channels that move enough to tell clocks apart, best first. */
const COMPARED: readonly NumericChannel[] = [
  "loadW",
  "gridW",
  "loadL1W",
  "loadL2W",
  "solarW",
  "batteryW",
  "batteryA",
  "gridL1W",
  "gridL2W",
];

/**
 * The quantity by which two loggers' clocks can be compared, over rows `from` to `to` of the second's minutes, on a
 * grid of every minute from its first to its last. Null where they share none.
 */
export function sharedQuantity(
  one: Minutes,
  other: Minutes,
  from: number,
  to: number,
): SharedQuantity | null {
  const firstMs = other.minuteMs[from];
  const length = Math.round((other.minuteMs[to - 1] - firstMs) / MINUTE_MS) + 1;
  const both = COMPARED.find((channel) => one.channels[channel] && other.channels[channel]);
  if (both !== undefined) {
    return {
      what: both,
      one: onGrid(one, one.channels[both]!.mean, firstMs, length),
      other: onGrid(other, other.channels[both]!.mean, firstMs, length),
    };
  }
  const left = withoutGrid(one);
  if (left === null || other.channels.gridW === undefined) return null;
  return {
    what: "balance",
    one: onGrid(one, left, firstMs, length),
    other: onGrid(other, other.channels.gridW.mean, firstMs, length),
  };
}

const MINUTE_MS = 60_000;

function onGrid(minutes: Minutes, values: Float32Array, firstMs: number, length: number): Float32Array {
  const grid = new Float32Array(length).fill(Number.NaN);
  for (let row = 0; row < values.length; row++) {
    const place = (minutes.minuteMs[row] - firstMs) / MINUTE_MS;
    if (place >= 0 && place < length) grid[place] = values[row];
  }
  return grid;
}

/** Load that neither sun nor battery carries; null without a load, or with neither of the two. */
function withoutGrid({ channels }: Minutes): Float32Array | null {
  const { loadW, loadL1W, loadL2W, solarW, batteryW, batteryV, batteryA } = channels;
  const legs = loadL1W !== undefined && loadL2W !== undefined;
  const battery = batteryW !== undefined || (batteryV !== undefined && batteryA !== undefined);
  if ((loadW === undefined && !legs) || (solarW === undefined && !battery)) return null;
  const length = (loadW ?? loadL1W)!.mean.length;
  const left = new Float32Array(length);
  for (let row = 0; row < length; row++) {
    const load = loadW === undefined ? loadL1W!.mean[row] + loadL2W!.mean[row] : loadW.mean[row];
    const pack =
      batteryW !== undefined ? batteryW.mean[row] : battery ? batteryV!.mean[row] * batteryA!.mean[row] : 0;
    left[row] = load - (solarW === undefined ? 0 : solarW.mean[row]) - pack;
  }
  return left;
}
