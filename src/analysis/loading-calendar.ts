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
  let { onS } = day;
  // What every row is held against or added to, in a typed array: a number that a loop carries from row to row,
  // or hands to a function, may be made an object for each row.
  const now = new Float64Array(6);
  keepAtHand(now, hour, day);
  for (let row = from; row < to; row++) {
    const atMs = timesMs[row];
    const hold = holdS[row];
    if (atMs >= now[HOUR_END_MS]) {
      hour.heldS = now[HOUR_HELD_S];
      hour = hourAt(state, clock, timesMs[row]);
      // A day begins with an hour, whatever the clock does.
      if (atMs >= day.toMs) {
        day = dayAt(state, clock, timesMs[row]);
        ({ onS } = day);
      }
      keepAtHand(now, hour, day);
    }
    const endMs = atMs + hold * 1000;

    const l1 = l1Loading[row];
    const l2 = l2Loading[row];
    const total = totalLoading[row];
    if (l1 > now[DAY_L1] || l2 > now[DAY_L2] || total > now[DAY_TOTAL]) {
      raiseDay(day, frame, row);
      now[DAY_L1] = day.peakL1;
      now[DAY_L2] = day.peakL2;
      now[DAY_TOTAL] = day.peakTotal;
    }
    if (l1 > now[HOUR_PEAK] || l2 > now[HOUR_PEAK] || total > now[HOUR_PEAK]) {
      raiseHour(hour, frame, row);
      now[HOUR_PEAK] = hour.peakLoading ?? Number.NEGATIVE_INFINITY;
    }
    if (endMs <= now[HOUR_END_MS]) {
      now[HOUR_HELD_S] += hold;
      onS[source[row]] += hold;
      continue;
    }
    hour.heldS = now[HOUR_HELD_S];
    [hour, day] = addAcross(frame, state, clock, row, hour, day);
    ({ onS } = day);
    keepAtHand(now, hour, day);
  }
  hour.heldS = now[HOUR_HELD_S];
}

/** Places in what `fillLoadingCalendar` keeps at hand of the hour and day under way. */
const HOUR_END_MS = 0;
const HOUR_HELD_S = 1;
const HOUR_PEAK = 2;
const DAY_L1 = 3;
const DAY_L2 = 4;
const DAY_TOTAL = 5;

function keepAtHand(now: Float64Array, hour: HourResult, day: LoadingDay): void {
  now[HOUR_END_MS] = hour.toMs;
  now[HOUR_HELD_S] = hour.heldS;
  now[HOUR_PEAK] = hour.peakLoading ?? Number.NEGATIVE_INFINITY;
  now[DAY_L1] = day.peakL1;
  now[DAY_L2] = day.peakL2;
  now[DAY_TOTAL] = day.peakTotal;
}

/** Adds a hold that goes over the end of its hour; gives the hour and the day that it ends in. */
function addAcross(
  frame: Frame,
  state: LoadingCalendarState,
  clock: LocalClock,
  row: number,
  hour: HourResult,
  day: LoadingDay,
): [hour: HourResult, day: LoadingDay] {
  const code = frame.source[row];
  let fromMs = frame.timesMs[row];
  const endMs = fromMs + frame.holdS[row] * 1000;
  while (fromMs < endMs) {
    if (fromMs >= hour.toMs) {
      hour = hourAt(state, clock, fromMs);
      raiseHour(hour, frame, row);
    }
    if (fromMs >= day.toMs) day = dayAt(state, clock, fromMs);
    const untilMs = Math.min(hour.toMs, day.toMs, endMs);
    hour.heldS += (untilMs - fromMs) / 1000;
    day.onS[code] += (untilMs - fromMs) / 1000;
    fromMs = untilMs;
  }
  return [hour, day];
}

function raiseDay(day: LoadingDay, frame: Frame, row: number): void {
  const { l1Loading, l2Loading, totalLoading } = frame.derived;
  const atMs = frame.timesMs[row];
  if (l1Loading[row] > day.peakL1) {
    day.peakL1 = l1Loading[row];
    day.peakL1AtMs = atMs;
  }
  if (l2Loading[row] > day.peakL2) {
    day.peakL2 = l2Loading[row];
    day.peakL2AtMs = atMs;
  }
  if (totalLoading[row] > day.peakTotal) {
    day.peakTotal = totalLoading[row];
    day.peakTotalAtMs = atMs;
  }
}

function raiseHour(hour: HourResult, frame: Frame, row: number): void {
  const { l1Loading, l2Loading, totalLoading } = frame.derived;
  const raise = (quantity: Quantity, loading: number) => {
    if (loading > (hour.peakLoading ?? Number.NEGATIVE_INFINITY)) {
      hour.peakLoading = loading;
      hour.peakQuantity = quantity;
      hour.peakAtMs = frame.timesMs[row];
    }
  };
  raise("total", totalLoading[row]);
  raise("L1", l1Loading[row]);
  raise("L2", l2Loading[row]);
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
