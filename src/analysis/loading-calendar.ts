import type { Frame } from "./frame";
import type { LocalClock } from "./local-time";
import type { HourResult, Quantity } from "./results";

/** What one local day adds to its shares: greatest loadings and time by source. */
export type LoadingDay = {
  fromMs: number;
  toMs: number;
  /** Seconds per SOURCE_CODE. */
  onS: Float64Array;
  peakL1: number;
  peakL2: number;
  peakTotal: number;
  peakL1AtMs: number;
  peakL2AtMs: number;
  peakTotalAtMs: number;
};

/** What the detector carries from chunk to chunk. */
export type LoadingCalendarState = { hours: HourResult[]; days: LoadingDay[] };

/** The state before the first row. */
export function createLoadingCalendarState(): LoadingCalendarState {
  return { hours: [], days: [] };
}

/**
 * Greatest loading of L1, L2 and total in each local clock hour and day over rows `from` to `to`, with held
 * time and, by day, time by source. A sample's loading counts in every hour it stands in. Hours and days
 * with no hold are not listed.
 */
export function fillLoadingCalendar(
  frame: Frame,
  state: LoadingCalendarState,
  clock: LocalClock,
  from: number,
  to: number,
): void {
  if (from >= to) return;
  const { timesMs, holdS, source } = frame;
  const { l1Loading, l2Loading, totalLoading } = frame.derived;
  let hour = hourAt(state, clock, timesMs[from]);
  let day = dayAt(state, clock, timesMs[from]);
  let hourEndMs = hour.toMs;
  let peak = hour.peakLoading ?? Number.NEGATIVE_INFINITY;
  let hourHeldS = hour.heldS;
  let { onS, peakL1: dayL1, peakL2: dayL2, peakTotal: dayTotal } = day;
  for (let row = from; row < to; row++) {
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (atMs >= hourEndMs) {
      hour.heldS = hourHeldS;
      hour = hourAt(state, clock, atMs);
      hourEndMs = hour.toMs;
      peak = hour.peakLoading ?? Number.NEGATIVE_INFINITY;
      hourHeldS = hour.heldS;
      // A day begins with an hour, whatever the clock does.
      if (atMs >= day.toMs) {
        day = dayAt(state, clock, atMs);
        ({ onS, peakL1: dayL1, peakL2: dayL2, peakTotal: dayTotal } = day);
      }
    }
    const endMs = atMs + hold * 1000;

    const l1 = l1Loading[row];
    const l2 = l2Loading[row];
    const total = totalLoading[row];
    if (l1 > dayL1 || l2 > dayL2 || total > dayTotal) {
      raiseDay(day, l1, l2, total, atMs);
      dayL1 = day.peakL1;
      dayL2 = day.peakL2;
      dayTotal = day.peakTotal;
    }
    if (l1 > peak || l2 > peak || total > peak) {
      raiseHour(hour, l1, l2, total, atMs);
      peak = hour.peakLoading ?? peak;
    }
    if (endMs <= hourEndMs) {
      hourHeldS += hold;
      onS[source[row]] += hold;
      continue;
    }
    hour.heldS = hourHeldS;
    let fromMs = atMs;
    while (fromMs < endMs) {
      if (fromMs >= hour.toMs) {
        hour = hourAt(state, clock, fromMs);
        raiseHour(hour, l1, l2, total, atMs);
      }
      if (fromMs >= day.toMs) day = dayAt(state, clock, fromMs);
      const untilMs = Math.min(hour.toMs, day.toMs, endMs);
      hour.heldS += (untilMs - fromMs) / 1000;
      day.onS[source[row]] += (untilMs - fromMs) / 1000;
      fromMs = untilMs;
    }
    hourEndMs = hour.toMs;
    peak = hour.peakLoading ?? Number.NEGATIVE_INFINITY;
    hourHeldS = hour.heldS;
    ({ onS, peakL1: dayL1, peakL2: dayL2, peakTotal: dayTotal } = day);
  }
  hour.heldS = hourHeldS;
}

function raiseDay(day: LoadingDay, l1: number, l2: number, total: number, atMs: number): void {
  if (l1 > day.peakL1) {
    day.peakL1 = l1;
    day.peakL1AtMs = atMs;
  }
  if (l2 > day.peakL2) {
    day.peakL2 = l2;
    day.peakL2AtMs = atMs;
  }
  if (total > day.peakTotal) {
    day.peakTotal = total;
    day.peakTotalAtMs = atMs;
  }
}

function raiseHour(hour: HourResult, l1: number, l2: number, total: number, atMs: number): void {
  const raise = (quantity: Quantity, loading: number) => {
    if (loading > (hour.peakLoading ?? Number.NEGATIVE_INFINITY)) {
      hour.peakLoading = loading;
      hour.peakQuantity = quantity;
      hour.peakAtMs = atMs;
    }
  };
  raise("total", total);
  raise("L1", l1);
  raise("L2", l2);
}

function hourAt(state: LoadingCalendarState, clock: LocalClock, atMs: number): HourResult {
  const last = state.hours[state.hours.length - 1];
  if (last !== undefined && atMs < last.toMs) return last;
  const hour: HourResult = {
    fromMs: clock.startOfHourMs(atMs),
    toMs: clock.endOfHourMs(atMs),
    heldS: 0,
    peakLoading: null,
    peakQuantity: null,
    peakAtMs: null,
  };
  state.hours.push(hour);
  return hour;
}

function dayAt(state: LoadingCalendarState, clock: LocalClock, atMs: number): LoadingDay {
  const last = state.days[state.days.length - 1];
  if (last !== undefined && atMs < last.toMs) return last;
  const day: LoadingDay = {
    fromMs: clock.startOfDayMs(atMs),
    toMs: clock.nextDayMs(atMs),
    onS: new Float64Array(5),
    peakL1: Number.NEGATIVE_INFINITY,
    peakL2: Number.NEGATIVE_INFINITY,
    peakTotal: Number.NEGATIVE_INFINITY,
    peakL1AtMs: Number.NaN,
    peakL2AtMs: Number.NaN,
    peakTotalAtMs: Number.NaN,
  };
  state.days.push(day);
  return day;
}
