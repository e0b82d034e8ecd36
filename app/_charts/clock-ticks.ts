import type { LocalClock } from "../../src/analysis/local-time";

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
const STEPS_MS = [
  ...[1, 2, 5, 10, 15, 30].map((seconds) => seconds * SECOND),
  ...[1, 2, 5, 10, 15, 30].map((minutes) => minutes * MINUTE),
  ...[1, 2, 3, 4, 6, 12].map((hours) => hours * HOUR),
];

/**
 * Instants at which a time axis has its ticks: at round times of the site's clock, at most `most` of them. Where the
 * clock changes, a round time that is shown twice is there twice, and one that is leapt over isn't.
 */
export function clockTicks(fromMs: number, toMs: number, clock: LocalClock, most: number): number[] {
  const stepMs = STEPS_MS.find((step) => (toMs - fromMs) / step <= most) ?? 12 * HOUR;
  // Steps of hours are gone through hour by hour, since the clock may change between.
  const strideMs = Math.min(stepMs, HOUR);
  const past = (atMs: number, everyMs: number) => {
    const local = atMs + clock.offsetMs(atMs);
    return ((local % everyMs) + everyMs) % everyMs;
  };
  const ticks: number[] = [];
  for (let atMs = fromMs; atMs <= toMs; ) {
    const over = past(atMs, strideMs);
    if (over === 0) {
      if (past(atMs, stepMs) === 0) ticks.push(atMs);
      atMs += strideMs;
    } else {
      const nextMs = atMs + strideMs - over;
      // A clock that changes by less than the stride would be stepped over.
      atMs = past(nextMs, strideMs) === 0 ? nextMs : atMs + Math.min(strideMs - over, 15 * MINUTE);
    }
  }
  return ticks;
}
