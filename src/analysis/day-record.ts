import type { DaySums } from "./day-sums";
import { HELD_S, SAMPLES, SHARES_HELD_S, type SharesDay, sharesOf } from "./energy-shares";
import type { LoadingDay } from "./loading-calendar";
import type { DayResult, Quantity } from "./results";

/** A local day with everything that longer periods are added up from. */
export type DayRecord = DayResult & { sums: DaySums };

/**
 * Puts together what the summing stages know of one local day.
 *
 * @throws RangeError where they don't speak of the same day.
 */
export function dayRecord(sums: DaySums, sharesDay: SharesDay, loadingDay: LoadingDay): DayRecord {
  if (sums.fromMs !== sharesDay.fromMs || sums.fromMs !== loadingDay.fromMs) {
    throw new RangeError(
      `dayRecord requires parts of one day, got ${sums.fromMs}, ${sharesDay.fromMs}, ${loadingDay.fromMs}`,
    );
  }
  const { onS, ...peaks } = loadingDay;
  const known = (value: number) => (value === Number.NEGATIVE_INFINITY ? null : value);
  let peakLoading: number | null = null;
  let peakQuantity: Quantity | null = null;
  let peakAtMs: number | null = null;
  const raise = (quantity: Quantity, value: number, atMs: number) => {
    if (value > (peakLoading ?? Number.NEGATIVE_INFINITY)) {
      peakLoading = value;
      peakQuantity = quantity;
      peakAtMs = atMs;
    }
  };
  raise("total", peaks.peakTotal, peaks.peakTotalAtMs);
  raise("L1", peaks.peakL1, peaks.peakL1AtMs);
  raise("L2", peaks.peakL2, peaks.peakL2AtMs);
  const energies = sharesDay.sums;
  return {
    date: sums.date,
    fromMs: sums.fromMs,
    toMs: sums.toMs,
    samples: energies[SAMPLES],
    heldS: energies[HELD_S],
    sharesHeldS: energies[SHARES_HELD_S],
    shares: sharesOf(energies),
    onS: { unknown: onS[0], inverter: onS[1], utility: onS[2], generator: onS[3], none: onS[4] },
    peakLoading,
    peakQuantity,
    peakAtMs,
    peakLoadingL1: known(peaks.peakL1),
    peakLoadingL2: known(peaks.peakL2),
    peakLoadingTotal: known(peaks.peakTotal),
    sums,
  };
}
