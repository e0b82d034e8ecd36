import type { DayResult, EnergyShares, Quantity } from "../analysis/results";

/** A day with how many transfers and dropouts began in it. */
export type CountedDay = DayResult & { readonly transfers: number; readonly dropouts: number };

/** Days of one month, or of any period, added up. */
export type DaysAdded = {
  /** yyyy-MM; of a period that isn't a month the first day's. */
  month: string;
  fromMs: number;
  toMs: number;
  /** Days with samples. */
  days: number;
  heldS: number;
  sharesHeldS: number;
  onS: { inverter: number; utility: number; generator: number; none: number; unknown: number };
  transfers: number;
  dropouts: number;
  /** Greatest loading, of what and when; null where none is known. */
  peakLoading: number | null;
  peakQuantity: Quantity | null;
  peakAtMs: number | null;
  shares: EnergyShares;
};

/** Days by their months, each month added up in the order of its days; ascending as they are. */
export function monthsOfDays(days: readonly CountedDay[]): DaysAdded[] {
  const months = [...new Set(days.map(({ date }) => date.slice(0, 7)))];
  return months.map((month) => addDays(days.filter(({ date }) => date.startsWith(month)))!);
}

/** Days added up, in order; null for none. Ties of the greatest loading go to the earliest. */
export function addDays(days: readonly CountedDay[]): DaysAdded | null {
  const [first] = days;
  if (first === undefined) return null;
  const sum: DaysAdded = {
    month: first.date.slice(0, 7),
    fromMs: first.fromMs,
    toMs: first.toMs,
    days: 0,
    heldS: 0,
    sharesHeldS: 0,
    onS: { inverter: 0, utility: 0, generator: 0, none: 0, unknown: 0 },
    transfers: 0,
    dropouts: 0,
    peakLoading: null,
    peakQuantity: null,
    peakAtMs: null,
    shares: Object.fromEntries(Object.keys(first.shares).map((key) => [key, 0])) as EnergyShares,
  };
  for (const day of days) {
    sum.toMs = day.toMs;
    sum.days += 1;
    sum.heldS += day.heldS;
    sum.sharesHeldS += day.sharesHeldS;
    sum.transfers += day.transfers;
    sum.dropouts += day.dropouts;
    for (const source of Object.keys(sum.onS) as (keyof DaysAdded["onS"])[])
      sum.onS[source] += day.onS[source];
    for (const key of Object.keys(sum.shares) as (keyof EnergyShares)[]) sum.shares[key] += day.shares[key];
    if (day.peakLoading !== null && day.peakLoading > (sum.peakLoading ?? Number.NEGATIVE_INFINITY)) {
      sum.peakLoading = day.peakLoading;
      sum.peakQuantity = day.peakQuantity;
      sum.peakAtMs = day.peakAtMs;
    }
  }
  return sum;
}
