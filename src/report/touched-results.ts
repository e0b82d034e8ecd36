import type { NumericChannel } from "../analysis/series";

/**
 * The results that stand on a channel, in words: what a fault of it spoils.
 *
 * @example touchedResults("batterySocPct") // "the cause low battery and where the battery's energy came from"
 */
export function touchedResults(channel: NumericChannel): string {
  return TOUCHED.find(([pattern]) => pattern.test(channel))![1];
}

const TOUCHED: readonly (readonly [pattern: RegExp, results: string])[] = [
  [/^loadL[12]PeakW$/, "the cause motor start"],
  [
    /^load(L[12])?(W|Va|A)$/,
    "loading, near-limit intervals, causes of transfers, imbalance, demand and energy shares",
  ],
  [/^loadL[12]V$/, "leg voltage, the suspicion of an open neutral, and power that is taken as A · V"],
  [/^solar/, "energy shares and self-consumption"],
  [/^batterySocPct$/, "the cause low battery and where the battery's energy came from"],
  [/^battery/, "energy shares, the causes DC limit and low battery, and the continuous load of the fuse"],
  [/^gridV$/, "grid power that is taken as A · V"],
  [/^grid/, "energy shares, amperes of the service, and the source where the log has no column of it"],
  [/^frequencyHz$/, "no result; it is shown only"],
  [/^inverterTempC$/, "derated limits and the cause over-temperature"],
];
