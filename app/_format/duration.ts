import { UNIT_SPACE, UNKNOWN } from "./number";

/** A duration in the two greatest units that say something: 45 s, 3 min 12 s, 2 h 5 min, 4 days 3 h. */
export function formatDuration(durationS: number | null | undefined): string {
  if (durationS === null || durationS === undefined || !Number.isFinite(durationS)) return UNKNOWN;
  const s = Math.round(durationS);
  if (s < 60) return part(s, "s");
  if (s < 3600) return two(s, 60, "min", 1, "s");
  const minutes = Math.round(s / 60);
  if (minutes < 48 * 60) return two(minutes, 60, "h", 1, "min");
  return two(Math.round(minutes / 60), 24, "days", 1, "h");
}

function two(value: number, ofMajor: number, major: string, ofMinor: number, minor: string): string {
  const rest = Math.floor((value % ofMajor) / ofMinor);
  const first = part(Math.floor(value / ofMajor), major);
  return rest === 0 ? first : `${first} ${part(rest, minor)}`;
}

function part(value: number, unit: string): string {
  return `${value}${UNIT_SPACE}${unit}`;
}
