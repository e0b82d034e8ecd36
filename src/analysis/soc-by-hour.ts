import { type Frame, firstRowAt } from "./frame";
import type { LocalClock } from "./local-time";
import { quantile } from "./quantile";

const HOURS = 24;

/** Places of an hour: Σ hold, Σ hold · SOC, least, greatest. */
const HELD_S = 0;
const PCT_S = 1;
const LEAST = 2;
const GREATEST = 3;
const HOUR_SUMS = 4;

/**
 * State of charge by local clock hour: for each day that has any, four figures an hour. Days stay apart, since what is
 * told is how the days differ. Where a clock hour comes twice, both count in it.
 */
export type SocByHourSums = { days: Float64Array[] };

/** State of charge in one local clock hour over the days of a period, %. */
export type SocHour = {
  /** 0 to 23. */
  hour: number;
  /** Days with a state of charge in it. */
  days: number;
  /** Of all samples. */
  leastPct: number;
  greatestPct: number;
  /** Of the days' means, weighted by hold. */
  q1Pct: number;
  medianPct: number;
  q3Pct: number;
};

/** Sums of a day without samples. */
export function createSocByHourSums(): SocByHourSums {
  return { days: [] };
}

/**
 * Adds the state of charge of rows `from` to `to`, which lie in one local day, by clock hour. A sample counts with its
 * whole hold in the hour in which it begins; what is missing counts in nothing.
 */
export function addSocByHour(
  frame: Frame,
  sums: SocByHourSums,
  clock: LocalClock,
  from: number,
  to: number,
): void {
  const { timesMs, holdS, raw } = frame;
  const { batterySocPct } = raw;
  if (batterySocPct === undefined) return;
  if (sums.days.length === 0) sums.days.push(emptyDay());
  const day = sums.days[0];
  for (let row = from; row < to; ) {
    const atMs = timesMs[row];
    const end = Math.min(to, firstRowAt(frame, clock.endOfHourMs(atMs)));
    const at = Math.floor(clock.clockS(atMs) / 3600) * HOUR_SUMS;
    let heldS = day[at + HELD_S];
    let pctS = day[at + PCT_S];
    let least = day[at + LEAST];
    let greatest = day[at + GREATEST];
    for (; row < end; row++) {
      const soc = batterySocPct[row];
      if (Number.isNaN(soc)) continue;
      const hold = holdS[row];
      heldS += hold;
      pctS += soc * hold;
      if (soc < least) least = soc;
      if (soc > greatest) greatest = soc;
    }
    day[at + HELD_S] = heldS;
    day[at + PCT_S] = pctS;
    day[at + LEAST] = least;
    day[at + GREATEST] = greatest;
  }
}

function emptyDay(): Float64Array {
  const day = new Float64Array(HOURS * HOUR_SUMS);
  for (let at = 0; at < day.length; at += HOUR_SUMS) {
    day[at + LEAST] = Number.POSITIVE_INFINITY;
    day[at + GREATEST] = Number.NEGATIVE_INFINITY;
  }
  return day;
}

/** Adds a later day to the sums of the days before it. */
export function mergeSocByHour(into: SocByHourSums, more: SocByHourSums): void {
  for (const day of more.days) into.days.push(day.slice());
}

/** State of charge by local hour, ascending, hours without one left out; null where there is none at all. */
export function socByHourOf({ days }: SocByHourSums): SocHour[] | null {
  const hours: SocHour[] = [];
  for (let hour = 0; hour < HOURS; hour++) {
    const at = hour * HOUR_SUMS;
    const known = days.filter((day) => day[at + HELD_S] > 0);
    if (known.length === 0) continue;
    const means = Float64Array.from(known, (day) => day[at + PCT_S] / day[at + HELD_S]).sort();
    hours.push({
      hour,
      days: known.length,
      leastPct: Math.min(...known.map((day) => day[at + LEAST])),
      greatestPct: Math.max(...known.map((day) => day[at + GREATEST])),
      q1Pct: quantile(means, 0.25),
      medianPct: quantile(means, 0.5),
      q3Pct: quantile(means, 0.75),
    });
  }
  return hours.length === 0 ? null : hours;
}
