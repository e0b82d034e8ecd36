import type { Minutes } from "./minutes";

/** Two measurements of the same quantity. */
export const AGREEMENTS = ["legs-total", "battery-volt-amperes", "strings-total"] as const;

export type Agreement = (typeof AGREEMENTS)[number];

/** How two measurements of one quantity differ over a stretch. */
export type MeterDifference = {
  what: Agreement;
  /** Energy by the one that is named first, Wh, and by the other. */
  oneWh: number;
  otherWh: number;
  /** ∫|one − other| over ∫ of the greater of both: 0 where they agree always, 1 where never. */
  share: number;
};

/**
 * Quantities that a logger measures twice, held against each other over rows `from` to `to`: L1 + L2 against the
 * total load, V · A against W of the battery, the strings against the total of the sun. Minutes without a value in
 * one of them don't count; nothing for what isn't measured twice. The product of a minute's means stands for the
 * mean of the products.
 */
export function meterAgreement(minutes: Minutes, from: number, to: number): MeterDifference[] {
  const of = (channel: keyof Minutes["channels"]) => minutes.channels[channel]?.mean;
  const [l1, l2, total] = [of("loadL1W"), of("loadL2W"), of("loadW")];
  const [volts, amperes, batteryW] = [of("batteryV"), of("batteryA"), of("batteryW")];
  const solarW = of("solarW");
  const strings = (["solar1W", "solar2W", "solar3W", "solar4W"] as const)
    .map(of)
    .filter((column) => column !== undefined);
  const found: MeterDifference[] = [];
  const hold = (what: Agreement, one: (row: number) => number, other: Float32Array) => {
    let [oneWs, otherWs, apartWs, greaterWs] = [0, 0, 0, 0];
    for (let row = from; row < to; row++) {
      const a = one(row);
      const b = other[row];
      if (Number.isNaN(a + b)) continue;
      const held = minutes.heldS[row];
      oneWs += a * held;
      otherWs += b * held;
      apartWs += Math.abs(a - b) * held;
      greaterWs += Math.max(Math.abs(a), Math.abs(b)) * held;
    }
    if (greaterWs > 0)
      found.push({ what, oneWh: oneWs / 3600, otherWh: otherWs / 3600, share: apartWs / greaterWs });
  };
  if (l1 !== undefined && l2 !== undefined && total !== undefined)
    hold("legs-total", (row) => l1[row] + l2[row], total);
  if (volts !== undefined && amperes !== undefined && batteryW !== undefined)
    hold("battery-volt-amperes", (row) => volts[row] * amperes[row], batteryW);
  if (strings.length > 0 && solarW !== undefined)
    hold("strings-total", (row) => strings.reduce((sum, string) => sum + string[row], 0), solarW);
  return found;
}
