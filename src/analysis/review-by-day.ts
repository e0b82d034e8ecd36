import type { Found } from "./found";
import type { LocalClock } from "./local-time";
import type { PassState, ReviewPass } from "./review-pass";
import type { NumericChannel, Series } from "./series";

/** A local midnight that a pass has reached: all samples before it are pushed, none at or after it. */
export type Midnight = {
  /** First instant of the local day of the next sample. */
  atMs: number;
  /** What was finished since the midnight before, and which one that was. */
  found: Found;
  sinceMs: number;
  /** Where the pass stands, to be serialised before the call returns. */
  state: PassState;
};

/** A pass that stops at local midnights on its way. */
export type ReviewByDay = {
  /** Takes the next samples; true where `onMidnight` said that the rest need not be looked at. */
  push(series: Series): boolean;
  /**
   * Says that the pass has been given all samples before a local midnight and none after: for whoever pushes
   * to it himself, of several loggers. True as with `push`.
   */
  midnight(atMs: number): boolean;
  /** Ends the pass; what was finished since the last midnight. */
  end(): { found: Found; sinceMs: number };
};

/**
 * Drives a pass and stops at every local midnight that has samples behind it and one after it, so that a later
 * pass can go on from there.
 *
 * @param fromMs the midnight that the pass goes on from; NaN where it begins
 * @param onMidnight true where the pass may stop here for good
 */
export function createReviewByDay(
  pass: ReviewPass,
  clock: LocalClock,
  fromMs: number,
  onMidnight: (midnight: Midnight) => boolean,
): ReviewByDay {
  let sinceMs = fromMs;
  let dayEndMs = Number.isNaN(fromMs) ? Number.NaN : clock.nextDayMs(fromMs);
  let stopped = false;

  function reach(atMs: number): boolean {
    stopped = onMidnight({ atMs, found: pass.take(), sinceMs, state: pass.keep() });
    sinceMs = atMs;
    return stopped;
  }

  return {
    midnight: reach,
    push(series) {
      const { timesMs } = series;
      let from = 0;
      if (Number.isNaN(dayEndMs) && timesMs.length > 0) dayEndMs = clock.nextDayMs(timesMs[0]);
      while (!stopped && from < timesMs.length) {
        let to = from;
        if (timesMs[timesMs.length - 1] < dayEndMs) to = timesMs.length;
        else while (timesMs[to] < dayEndMs) to++;
        if (to > from) pass.push(part(series, from, to));
        from = to;
        if (to === timesMs.length) break;
        const atMs = clock.startOfDayMs(timesMs[to]);
        reach(atMs);
        dayEndMs = clock.nextDayMs(atMs);
      }
      return stopped;
    },
    end() {
      pass.end();
      return { found: pass.take(), sinceMs };
    },
  };
}

function part(series: Series, from: number, to: number): Series {
  if (from === 0 && to === series.timesMs.length) return series;
  const channels: { [C in NumericChannel]?: Float32Array } = {};
  for (const [name, column] of Object.entries(series.channels)) {
    channels[name as NumericChannel] = column.subarray(from, to);
  }
  return {
    timesMs: series.timesMs.subarray(from, to),
    channels,
    sources: series.sources?.subarray(from, to) ?? null,
    faults: series.faults?.subarray(from, to) ?? null,
  };
}
