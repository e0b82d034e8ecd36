import type { LocalClock } from "../../src/analysis/local-time";
import { formatClockTime } from "../../src/report/format";

/** Address of the day's sheet with an instant in its middle. */
export function instantHref(slug: string, atMs: number, clock: LocalClock): string {
  const date = clock.date(atMs);
  return `/sites/${slug}/${date.slice(0, 7)}/${date.slice(8)}?at=${formatClockTime(clock.clockS(atMs))}`;
}
