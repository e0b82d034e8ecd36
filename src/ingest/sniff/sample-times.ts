import { createTimeReader } from "../time-reader";
import type { SniffState } from "./sniff-state";

/**
 * Times of rows of the log in ms, wall times read as if they were UTC: for differences and the time of day, not as
 * instants. NaN where there is none, or where the form isn't settled.
 */
export function sampleTimes(
  { draft, indexOf, ask }: SniffState,
  rows: readonly (readonly string[])[],
): Float64Array {
  const times = new Float64Array(rows.length).fill(Number.NaN);
  const { column } = draft.time;
  // Where the order of day and month is asked, either one shows what follows what within a day.
  const format = draft.time.format ?? ask.find((q) => q.choice === "time.format")?.options[0];
  if (column === undefined || format === undefined) return times;
  const indices = (Array.isArray(column) ? column : [column]).map((ref) => indexOf(ref));
  const reader = createTimeReader({ format, zone: "UTC" });
  for (let i = 0; i < rows.length; i++) {
    times[i] = reader.read(indices.map((c) => rows[i][c] ?? "").join(" "));
  }
  return times;
}
