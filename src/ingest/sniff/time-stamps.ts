import type { SniffState } from "./sniff-state";
import { nameWords } from "./time-part";

/**
 * Whether times stand at the start or the end of their interval, by the time column's name or by hours that are
 * counted from 1 to 24. Nothing else in a log shows it: then it is the start, since most logs stamp the moment of
 * the sample.
 */
export function inferStamps(state: SniffState, columns: readonly number[], hours: readonly string[]): void {
  const { draft, given, titles } = state;
  if (given.time?.stamps !== undefined) return;
  const own = columns.flatMap((c) => nameWords(titles[c]));
  const ends = own.some((w) => END.has(w));
  const starts = own.some((w) => START.has(w));
  if (ends !== starts) {
    draft.time.stamps = ends ? "end" : "start";
    state.tell("time.stamps", draft.time.stamps, 0.85, { header: columns.map((c) => titles[c]).join(" ") });
    return;
  }
  const numbers = hours.filter((t) => /^\s*\d{1,2}\s*$/.test(t)).map(Number);
  if (numbers.length > 0 && numbers.includes(24) && !numbers.includes(0)) {
    draft.time.stamps = "end";
    state.tell("time.stamps", "end", 0.8, { hours: "1 to 24" });
    return;
  }
  draft.time.stamps = "start";
  state.tell("time.stamps", "start", 0.5, {});
}

const START = new Set("start starts begin beginning from desde von ab debut inicio anfang beginn".split(" "));
const END = new Set("end ends ending until bis hasta fin ende jusqu".split(" "));
