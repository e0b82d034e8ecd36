import { SOURCES, type Source } from "./series";

/** A stretch that one source carries, or that no sample covers. Epoch ms. */
export type SourceRun = { fromMs: number; toMs: number; source: Source | "gap" };

/**
 * What carried the loads from `fromMs` to `toMs`, stretch after stretch without a hole: neighbouring samples of one
 * source are one stretch, what no sample stands for is a gap. Samples outside count for what of them reaches in.
 *
 * @param holdS how long each sample stands, seconds
 * @param sources SOURCE_CODE per sample
 */
export function sourceRuns(
  timesMs: ArrayLike<number>,
  holdS: ArrayLike<number>,
  sources: ArrayLike<number>,
  fromMs: number,
  toMs: number,
): SourceRun[] {
  const runs: SourceRun[] = [];
  let untilMs = fromMs;
  const add = (source: SourceRun["source"], endMs: number) => {
    const last = runs.at(-1);
    if (last !== undefined && last.source === source) last.toMs = endMs;
    else runs.push({ fromMs: untilMs, toMs: endMs, source });
    untilMs = endMs;
  };
  for (let row = 0; row < timesMs.length; row += 1) {
    const endMs = Math.min(toMs, timesMs[row] + holdS[row] * 1000);
    if (timesMs[row] >= toMs) break;
    if (endMs <= untilMs) continue;
    if (timesMs[row] > untilMs) add("gap", timesMs[row]);
    add(SOURCES[sources[row]], endMs);
  }
  if (untilMs < toMs) add("gap", toMs);
  return runs;
}
