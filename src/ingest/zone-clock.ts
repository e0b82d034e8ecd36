import { Temporal } from "temporal-polyfill";

/** Wall time of one zone turned into instants. All instants are epoch ms UTC, wall times ms as if UTC. */
export type ZoneClock = {
  /**
   * The instant at which the zone's clock shows `wallMs`; the first of two where it shows it twice; NaN
   * where the clock skips it.
   */
  instantMs(wallMs: number): number;
  /** The second instant at which the clock showed the wall time last asked for; NaN where there is one only. */
  secondMs(): number;
  /** Offset from UTC at an instant, east positive. */
  offsetAtMs(atMs: number): number;
};

const FROM_MS = Date.UTC(1999, 0, 1);
const UNTIL_MS = Date.UTC(2200, 0, 1);
const YEAR_MS = 366 * 86_400_000;

/**
 * Clock of an IANA zone, or of a fixed offset such as "-07:00". Transitions come from the run-time's IANA
 * data through Temporal, a few years at a time as they are asked for; one stretch without a change is kept
 * at hand, so that a look-up is two comparisons.
 *
 * @throws RangeError where the zone doesn't exist.
 */
export function createZoneClock(zone: string): ZoneClock {
  const fixed = fixedOffsetMs(zone);
  // Stretches of constant offset: stretch i begins at starts[i] and ends where i + 1 begins.
  const starts: number[] = [Number.NEGATIVE_INFINITY];
  const offsets: number[] = [];
  let knownUntilMs = Number.POSITIVE_INFINITY;
  if (fixed !== null) {
    offsets.push(fixed);
  } else {
    offsets.push(zoned(FROM_MS, zone).offsetNanoseconds / 1e6);
    knownUntilMs = FROM_MS;
  }
  let safeFrom = Number.POSITIVE_INFINITY;
  let safeUntil = Number.NEGATIVE_INFINITY;
  let safeOffset = 0;
  let second = Number.NaN;

  function learnUntil(ms: number): void {
    const wanted = Math.min(ms, UNTIL_MS);
    while (knownUntilMs < wanted) {
      const next = zoned(knownUntilMs, zone).getTimeZoneTransition("next");
      if (next === null || next.epochMilliseconds > UNTIL_MS) {
        knownUntilMs = Number.POSITIVE_INFINITY;
        return;
      }
      const offset = next.offsetNanoseconds / 1e6;
      if (offset !== offsets[offsets.length - 1]) {
        starts.push(next.epochMilliseconds);
        offsets.push(offset);
      }
      knownUntilMs = next.epochMilliseconds;
    }
  }

  function stretchOf(atMs: number): number {
    learnUntil(atMs + YEAR_MS);
    let low = 0;
    let high = starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (starts[middle] <= atMs) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  function seek(wallMs: number): number {
    const near = stretchOf(wallMs);
    let first = Number.NaN;
    second = Number.NaN;
    for (let i = Math.max(0, near - 1); i <= Math.min(starts.length - 1, near + 1); i++) {
      const at = wallMs - offsets[i];
      const end = i + 1 < starts.length ? starts[i + 1] : knownUntilMs;
      if (at < starts[i] || at >= end) continue;
      if (Number.isNaN(first)) {
        first = at;
        const before = i === 0 ? offsets[i] : offsets[i - 1];
        const after = i + 1 < offsets.length ? offsets[i + 1] : offsets[i];
        safeFrom = starts[i] + Math.max(offsets[i], before);
        safeUntil = end + Math.min(offsets[i], after);
        safeOffset = offsets[i];
      } else {
        second = at;
      }
    }
    return first;
  }

  return {
    instantMs(wallMs) {
      if (wallMs >= safeFrom && wallMs < safeUntil) {
        second = Number.NaN;
        return wallMs - safeOffset;
      }
      return seek(wallMs);
    },
    secondMs: () => second,
    offsetAtMs: (atMs) => offsets[stretchOf(atMs)],
  };
}

function zoned(atMs: number, zone: string): Temporal.ZonedDateTime {
  return Temporal.Instant.fromEpochMilliseconds(atMs).toZonedDateTimeISO(zone);
}

function fixedOffsetMs(zone: string): number | null {
  const match = /^([+-])(\d\d):?(\d\d)$/.exec(zone);
  if (match === null) return zone === "UTC" || zone === "Etc/UTC" || zone === "Z" ? 0 : null;
  const ms = (Number(match[2]) * 60 + Number(match[3])) * 60_000;
  return match[1] === "-" ? -ms : ms;
}
